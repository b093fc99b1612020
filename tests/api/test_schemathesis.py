"""The description of the API held against the API by a machine: nothing undocumented, no 5xx, for every role.

In process over WSGI, with ids of the shop that asks and of its neighbor. All of the library's checks but
positive_data_acceptance: a body that fits the description may still be refused by a rule of the trade; that valid
bodies are taken is held by test_examples.py and test_documented_bodies_are_taken.py.
"""

import os

import pytest
import schemathesis
from django.core.handlers.wsgi import WSGIHandler
from django.core.signals import request_finished, request_started
from django.db import close_old_connections, transaction
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st
from schemathesis.checks import CHECKS, load_all_checks

from projects.platform.permissions import Role
from tests.api.houses import ABSENT, token_of
from tests.api.test_nobody_writes import DESCRIBED

load_all_checks()
LEFT_OUT = {
    "positive_data_acceptance": "rules of the trade refuse what fits the description",
    "ignored_auth": "asks without a token on its own connection: the permission walk asks every address so",
    "max_response_time": "no test asserts a time",
}
USED = [check for name, check in CHECKS._items.items() if name not in LEFT_OUT]
CASES = int(os.environ.get("CEILINGBOOK_CASES", "20"))
ROLES = tuple(Role)


@pytest.fixture
def described(house):
    """One connection for all, inside the test's transaction: a request's end must not close it."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield _described()
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


def _described():
    schema = schemathesis.openapi.from_dict(DESCRIBED)
    schema.app = WSGIHandler()
    return schema


OPERATIONS = [
    (address, method)
    for address, methods in DESCRIBED["paths"].items()
    for method in methods
    if method in ("get", "post", "put", "patch", "delete")
]


def try_all(described, house, neighbor, operations, cases):
    """What went wrong, by operation."""
    tokens = {role: token_of(house.people[role]) for role in ROLES}
    ids = st.sampled_from([house.ids, house.ids, neighbor.ids, {}])
    wrong = {}
    for number, (address, method) in enumerate(operations):
        operation = described[address][method.upper()]

        @seed(number)
        @settings(
            max_examples=cases, deadline=None, database=None, derandomize=False, phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )  # fmt: skip
        @given(case=operation.as_strategy(), role=st.sampled_from(ROLES), known=ids)
        def asked(case, role, known):
            for name in case.path_parameters or {}:
                case.path_parameters[name] = known.get(name, case.path_parameters[name] if known else ABSENT)
            with transaction.atomic():
                case.call_and_validate(
                    checks=USED, headers={"Authorization": f"Bearer {tokens[role]}", "Idempotency-Key": "k-1"}
                )
                transaction.set_rollback(True)

        try:
            asked()
        except BaseException as found:  # every failure is told, by operation
            if isinstance(found, KeyboardInterrupt):
                raise
            wrong[f"{method} {address}"] = str(found)[:600]
    return wrong


def test_a_few_operations_are_as_they_are_described(described, house, neighbor):
    assert try_all(described, house, neighbor, OPERATIONS[::90], 2) == {}


@pytest.mark.long
@pytest.mark.parametrize("part", range(20))
def test_the_api_is_as_it_is_described(described, house, neighbor, part):
    """CEILINGBOOK_CASES: how many for each operation."""
    assert try_all(described, house, neighbor, OPERATIONS[part::20], CASES) == {}
