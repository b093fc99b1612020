"""Whatever goes wrong under /api/ is told as application/problem+json (RFC 9457), in the same words each time."""

import pytest
from django.core.exceptions import SuspiciousOperation, ValidationError
from django.test import Client
from rest_framework.exceptions import Throttled

from projects.jobs import queries
from projects.platform.api.problems import handle
from projects.platform.permissions import Role
from tests.api.houses import Asker, problem_of


@pytest.mark.parametrize(
    "address", ["/api/", "/api/v1/", "/api/v2/jobs/", "/api/v1/jobs", "/api/v1/jobs/x/", "/api/v1/jobs/-1/", "/api/x"]
)
@pytest.mark.parametrize("method", ["GET", "POST", "DELETE"])
def test_an_address_nobody_answers_is_a_problem_too(db, address, method):
    """Without its last stroke an address is not led elsewhere: a body would get lost on the way."""
    told = problem_of(Asker().send(method, address), 404)
    assert told == {
        "type": "/problems/not-found/",
        "title": "There is nothing here",
        "status": 404,
        "detail": "There is nothing here.",
    }


def test_a_page_that_is_not_there_stays_a_page(client, db):
    assert client.get("/nowhere/")["Content-Type"].startswith("text/html")


def test_a_form_the_answer_does_not_have_is_not_acceptable(house):
    problem_of(house.ask().get(house.address("jobs"), Accept="text/html"), 406)
    problem_of(house.ask().get(house.address("jobs") + "?format=xml"), 404)


def test_a_fault_of_ours_shows_nothing_of_its_inside(house, monkeypatch, caplog):
    def broken(*args):
        raise RuntimeError("secret of the inside")

    monkeypatch.setattr(queries, "job_of", broken)
    response = house.ask().get(house.address("job"))
    problem_of(response, 500)
    assert b"secret" not in response.content
    assert "secret of the inside" in caplog.text


def test_a_host_that_is_not_ours_is_a_problem(db, settings):
    settings.ALLOWED_HOSTS = ["book.example"]
    problem_of(Client(raise_request_exception=False).get("/api/v1/jobs/", headers={"Host": "evil.example"}), 400)


def test_one_who_asks_too_often_is_told_how_long_to_wait():
    response = handle(Throttled(wait=7), {})
    assert (problem_of_plain(response), response["Retry-After"]) == (429, "7")


@pytest.mark.parametrize(
    ("raised", "status"), [(SuspiciousOperation("x"), 400), (ValidationError({"name": "Too long."}), 400)]
)
def test_what_django_refuses_is_a_problem(raised, status):
    assert problem_of_plain(handle(raised, {})) == status


def problem_of_plain(response):
    assert response["Content-Type"] == "application/problem+json"
    return response.status_code


@pytest.mark.parametrize(
    "header", ["Bearer", "Bearer ", "Bearer wrong", "bearer \x00", "Bearer \xff\xfe", "Bearer a b c"]
)
def test_a_token_nobody_made_opens_nothing(house, header):
    response = house.ask().client.get(house.address("jobs"), headers={"Authorization": header})
    problem_of(response, 401)
    assert response["WWW-Authenticate"] == "Bearer"


@pytest.mark.parametrize("header", ["Basic dTpw", "Token abc", "x"])
def test_another_scheme_is_not_ours_to_read(house, header):
    problem_of(house.ask().client.get(house.address("jobs"), headers={"Authorization": header}), 401)


def test_an_answer_may_not_be_kept_by_others(house):
    response = house.ask().get(house.address("jobs"))
    assert "private" in response["Cache-Control"]
    assert {"Authorization", "Cookie"} <= set(response["Vary"].split(", "))
    assert response["X-Content-Type-Options"] == "nosniff"


def test_no_answer_names_a_price(house):
    """There is no money here yet, whoever asks."""
    for role in (Role.OWNER, Role.VIEWER):
        for name in ("jobs", "rooms", "fixture_types", "takeoff", "job_takeoff", "schedule"):
            said = house.ask(role).get(house.address(name)).content.lower()
            assert not [word for word in (b"price", b"cost", b"usd", b"$") if word in said]
