"""Each kind of problem has a page, one title and one status, and everything that is raised is of a kind that is known.

Source: RFC 9457, 3.1: a type resolves to words for people; a title stays the same from occurrence to occurrence.
"""

import importlib
import inspect
import pkgutil

import pytest
from rest_framework import exceptions

import layout
import projects
import reports
from projects.platform.api.problem_types import TYPES, type_of
from projects.platform.api.problems import handle, problem
from projects.platform.permissions import Role
from tests.api.houses import Asker, problem_of


def raised():
    """Every kind of APIException of the API's own modules, and those of the framework that we leave as they are."""
    for package in (projects, layout, reports):
        for found in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
            if not found.ispkg and ("api" in found.name.split(".") or found.name.endswith("api")):
                for _name, kind in inspect.getmembers(importlib.import_module(found.name), inspect.isclass):
                    if issubclass(kind, exceptions.APIException) and kind is not exceptions.APIException:
                        yield kind


RAISED = sorted(set(raised()), key=lambda kind: kind.__name__)


def test_there_are_kinds_of_our_own_among_them():
    assert {"Refused", "Stale", "InFlight", "TooOften", "BulkRefused"} <= {kind.__name__ for kind in RAISED}


@pytest.mark.parametrize("kind", RAISED, ids=lambda kind: kind.__name__)
def test_what_is_raised_is_of_a_kind_with_a_page(kind):
    assert TYPES[kind.default_code].status == kind.status_code


@pytest.mark.parametrize("code", TYPES)
def test_a_type_leads_to_a_page_that_anybody_may_read(client, db, code):
    page = client.get(TYPES[code].address)
    assert page.status_code == 200
    assert TYPES[code].english in page.content.decode().replace("&#x27;", "'")


def test_the_list_of_them_leads_to_each(client, db):
    listed = client.get("/problems/").content.decode()
    assert [one.slug for one in TYPES.values() if f"/problems/{one.slug}/" not in listed] == []
    assert client.get("/problems/no-such-thing/").status_code == 404


def test_with_a_public_address_a_type_is_whole(settings):
    settings.PUBLIC_URL = "https://book.example"
    assert b'"https://book.example/problems/stale/"' in problem(412, "x", code="stale").content


def test_a_title_is_in_english_whatever_the_reader_reads(house):
    asker = house.ask(Role.OWNER)
    told = problem_of(asker.get("/api/v1/jobs/987654/", Accept_Language="es"), 404)
    assert told["title"] == "There is nothing here"
    page = asker.client.get("/problems/not-found/", headers={"Accept-Language": "es"}).content.decode()
    assert "Aquí no hay nada" in page and "There is nothing here" in page


def test_what_no_code_names_is_told_as_its_status_is():
    for status in (400, 401, 403, 404, 405, 406, 409, 410, 412, 413, 415, 422, 428, 429, 500, 503, 507):
        assert type_of("nobody knows", status).status == status
        assert type_of("stale", status).status == status


def test_a_framework_s_own_error_is_told_as_the_kind_it_is():
    response = handle(exceptions.NotFound(), {})
    assert b"/problems/not-found/" in response.content


@pytest.mark.parametrize(
    ("ask", "kind"),
    [
        (lambda asker, house: asker.send("POST", house.address("jobs"), raw=b"{"), "parse-error"),
        (lambda asker, house: asker.send("POST", house.address("jobs"), raw=b"x" * 1_100_000), "too-large"),
        (lambda asker, house: asker.post(house.address("jobs"), {"hue": 1}), "refused"),
        (lambda asker, house: asker.send("PUT", house.address("jobs"), {}), "method-not-allowed"),
        (lambda asker, house: asker.get(house.address("jobs"), Accept="text/csv"), "not-acceptable"),
        (
            lambda asker, house: asker.post(house.address("jobs"), {}, content_type="text/plain"),
            "unsupported-media-type",
        ),
        (lambda asker, house: asker.send("PATCH", house.address("job"), {}), "precondition-required"),
        (lambda asker, house: asker.send("PATCH", house.address("job"), {}, If_Match='"0-0"'), "stale"),
        (lambda asker, house: Asker("x").get(house.address("jobs")), "authentication-failed"),
        (lambda asker, house: Asker().get(house.address("jobs")), "not-authenticated"),
        (lambda asker, house: house.ask(Role.VIEWER).post(house.address("jobs")), "permission-denied"),
        (lambda asker, house: asker.get("/api/v1/nowhere/"), "not-found"),
    ],
)
def test_each_way_to_go_wrong_is_of_its_kind(house, ask, kind):
    assert problem_of(ask(house.ask(), house))["type"] == f"/problems/{kind}/"


def test_a_length_that_is_refused_says_what_was_understood_and_what_would_be_taken(house):
    """In feet and inches 12.6 may be 12 ft 6 in or 12.6 ft: nobody guesses."""
    asker, address = house.ask(), house.address("fixture_types")
    given = {"12.6'": None, "40 ft": "40", "x": None, "0": None, "1_000": None}
    for text in given:
        told = problem_of(asker.post(address, {"key": "k", "kind": "light", "name": "n", "cutout": text}), 400)
        error = next(each for each in told["errors"] if each["pointer"] == "/cutout")
        assert error["example"] and "understood" in error, error
    told = problem_of(asker.post(address, {"cutout": 12.6}), 400)
    error = next(each for each in told["errors"] if each["pointer"] == "/cutout")
    assert error["example"] == "12' 6 1/2\""
