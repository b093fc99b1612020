"""Every example of a body in the description is taken as it stands."""

import json
from pathlib import Path

import pytest

from projects.platform.api import schema
from projects.platform.permissions import Role
from tests.api.houses import problem_of

ADDRESS = {
    "open_job": ("POST", "jobs"), "add_room": ("POST", "job_rooms"), "add_rooms": ("POST", "job_rooms_bulk"),
    "record_measurements": ("POST", "measurements"), "change_job": ("PATCH", "job"),
    "set_build_up": ("PUT", "build_up"), "make_token": ("POST", "tokens"),
}  # fmt: skip
EXAMPLES = json.loads((Path(schema.__file__).parent / "examples.json").read_text())


@pytest.mark.parametrize("operation", EXAMPLES)
def test_an_example_is_taken(house, operation):
    method, name = ADDRESS[operation]
    asker, address = house.ask(Role.OWNER), house.address(name)
    more = {} if method == "POST" else {"If_Match": asker.get(address)["ETag"]}
    response = asker.send(method, address, EXAMPLES[operation], Idempotency_Key="example", **more)
    assert response.status_code in (200, 201), response.content


def test_an_example_stands_at_its_operation_in_the_description():
    from projects.platform.management.commands.api_changes import KEPT

    told = {
        operation["operationId"]: operation["requestBody"]["content"]["application/json"].get("example")
        for methods in json.loads(KEPT.read_text())["paths"].values()
        for operation in methods.values()
        if operation["operationId"] in EXAMPLES
    }
    assert told == EXAMPLES


@pytest.mark.parametrize("method", ["TRACE", "OPTIONS", "LINK", "PROPFIND", "FOO"])
def test_a_method_nobody_knows_is_told_which_there_are(house, method):
    """RFC 9110, 15.5.6."""
    response = house.ask().send(method, house.address("job"))
    assert problem_of(response, 405)["type"].endswith("/problems/method-not-allowed/")
    assert set(response["Allow"].split(", ")) == {"GET", "HEAD", "PATCH", "DELETE"}


@pytest.mark.parametrize("header", ["X-HTTP-Method-Override", "X-HTTP-Method", "X-Method-Override"])
def test_a_method_in_a_header_changes_nothing(house, header):
    asker, address = house.ask(), house.address("job")
    before = asker.get(address).content
    asker.send("GET", address, **{header: "DELETE"})
    problem_of(asker.send("POST", address, {"name": "x"}, **{header: "PATCH"}), 405)
    assert asker.get(address).content == before
