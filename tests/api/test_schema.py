"""The description served at /api/v1/schema/ is OpenAPI 3.1, names every address, and is made without a warning."""

import io
import re

import pytest
from django.core.management import call_command
from drf_spectacular.drainage import GENERATOR_STATS
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.validation import validate_schema

from projects.platform.permissions import Role
from tests.api.houses import METHODS, Asker, api_patterns, converters, problem_of


@pytest.fixture
def described(house):
    return house.ask(Role.VIEWER).get("/api/v1/schema/").json()


def test_it_is_made_without_a_warning():
    GENERATOR_STATS.reset()
    call_command("spectacular", validate=True, fail_on_warn=True, stdout=io.StringIO())


def test_it_is_openapi_3_1_and_for_members_only(described, db):
    assert described["openapi"].startswith("3.1")
    validate_schema(described)
    problem_of(Asker().get("/api/v1/schema/"), 401)


def test_it_is_made_once_for_all_who_ask(house, described, monkeypatch):
    """It takes seconds: a member who asks again and again would keep the server from everyone else."""
    monkeypatch.setattr(SchemaGenerator, "get_schema", lambda *_asked, **_words: pytest.fail("it was made once more"))
    assert house.ask(Role.VIEWER).get("/api/v1/schema/").json() == described
    assert house.ask(Role.OWNER).get("/api/v1/schema/").status_code == 200


def test_every_method_of_every_address_is_in_it(house):
    described = house.ask(Role.OWNER).get("/api/v1/schema/").json()
    told = {(path, method.upper()) for path, methods in described["paths"].items() for method in methods}
    asked = {
        (f"/api/v1/{_braced(name)}", method)
        for name, pattern in api_patterns().items()
        if name != "schema"
        for method in METHODS
        if method not in ("HEAD", "OPTIONS") and hasattr(pattern.callback.cls, method.lower())
    }
    assert told == asked


def _braced(name):
    route = str(api_patterns()[name].pattern).removeprefix("v1/")
    for part in converters(name):
        route = re.sub(rf"<\w+:{part}>", f"{{{part}}}", route)
    return route


def test_every_operation_may_answer_with_a_problem(described):
    for methods in described["paths"].values():
        for operation in methods.values():
            assert {"4XX", "5XX"} <= operation["responses"].keys()
            assert operation["description"]


def test_edits_name_the_tag_they_need_and_bodies_take_nothing_unknown(described):
    for methods in described["paths"].values():
        for method in {"put", "patch"} & methods.keys():
            headers = [each["name"] for each in methods[method]["parameters"] if each["in"] == "header"]
            assert headers == ["If-Match"]
    bodies = {name: each for name, each in described["components"]["schemas"].items() if "Body" in name}
    assert bodies and all(each["additionalProperties"] is False for each in bodies.values())


def test_there_is_no_price_in_it(described):
    def names(node):
        for key, inside in node.items() if isinstance(node, dict) else ():
            yield key
            yield from names(inside)

    # A sofa that moves costs marks, not money.
    assert {name for name in names(described) if "price" in name or "cost" in name} <= {"costs_the_marks"}


def test_who_may_not_see_prices_is_told_of_no_address_that_shows_them(house, described):
    """Nor of the shapes such an address answers with; the office is told of both."""
    office = house.ask(Role.ESTIMATOR).get("/api/v1/schema/").json()
    assert "/api/v1/bids/" in office["paths"] and "BidRevisionOut" in office["components"]["schemas"]
    assert not [path for path in described["paths"] if "/bids" in path]
    assert not [name for name in described["components"]["schemas"] if name.startswith("Bid")]
