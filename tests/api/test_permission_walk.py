"""Every address of the API, every method, every role, in one's own shop and in another's.

Addresses come from the URL resolver and rights from the permission table: one without a row fails here.
"""

from datetime import UTC, datetime
from functools import cache, partial

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.test import Client

from projects.accounts.models import Membership
from projects.platform import permissions
from projects.platform.api.views import ApiView
from projects.platform.permissions import API_ROUTES, PERSONAL, Role, may
from reports.documents import pdf, press
from tests.api.houses import ABSENT, METHODS, Asker, api_patterns, converters, problem_of
from tests.factories import UserFactory
from tests.untouched import nothing_changes

ROUTES = api_patterns()
OF_THE_TRADE = {"rule_key", "figure_name"}  # keys of the program's own tables: the same in every shop
WITH_IDS = [name for name in ROUTES if set(converters(name)) - OF_THE_TRADE]


@cache
def blank():
    return pdf.render({"": "<!doctype html><html lang=en><title>t</title>"}, identifier="", created=datetime.now(UTC))


@pytest.fixture(autouse=True)
def blank_sheets(monkeypatch):
    """What is on a paper is read where it is made, and so is who finds which words there: here, who gets one at all."""
    sheet = blank()
    monkeypatch.setattr(press, "set_page", lambda html, variant: press.Set(None, 0, {"pages": 1}))
    monkeypatch.setattr(press, "write", lambda pages, corners, **words: ({}, sheet))


def view_of(name):
    return ROUTES[name].callback.cls


def answers(name, method):
    return method in METHODS[:-1] and hasattr(view_of(name), "get" if method == "HEAD" else method.lower())


def test_every_address_has_a_row_and_every_row_an_address():
    assert set(ROUTES) == set(API_ROUTES)


def test_every_view_stands_on_the_base_that_asks_the_table():
    assert [name for name in ROUTES if not issubclass(view_of(name), ApiView)] == []


def test_a_row_gives_an_action_for_what_the_view_answers_and_for_nothing_else():
    for name in ROUTES:
        row = API_ROUTES[name]
        writes = any(answers(name, method) for method in ("POST", "PUT", "PATCH", "DELETE"))
        assert (row.read is not None, row.write is not None) == (answers(name, "GET"), writes), name


def test_an_address_without_a_row_answers_nobody(house, monkeypatch):
    monkeypatch.delitem(permissions.API_ROUTES, "jobs")
    client = Client(headers=house.ask(Role.OWNER).headers)
    with pytest.raises(ImproperlyConfigured, match="jobs"):
        client.get(house.address("jobs"))


def test_without_a_token_or_a_session_nothing_is_told(house):
    """What a view answers, and of the rest one method by turns: the door asks who it is before it asks what for."""
    asker = Asker()
    for turn, name in enumerate(ROUTES):
        for method in {*filter(partial(answers, name), METHODS), METHODS[turn % len(METHODS)]}:
            response = asker.send(method, house.address(name))
            assert response.status_code == 401, (name, method)
            assert response["WWW-Authenticate"] == "Bearer", (name, method)
            if method != "HEAD":
                problem_of(response, 401)


@pytest.mark.parametrize("name", ROUTES)
def test_each_role_may_do_what_the_table_says_and_no_more(house, name):
    """What no view answers is asked by one role in turn, and so is HEAD: the address answers alike, whoever asks."""
    in_turn = list(Role)[list(ROUTES).index(name) % len(Role)]
    for role in Role:
        asker = house.ask(role)
        own = house.own_of(role) if "token_id" in converters(name) else {}
        for method in METHODS:
            if (not answers(name, method) or method == "HEAD") and role != in_turn:
                continue
            response = asker.send(method, house.address(name, **own))
            action, status = API_ROUTES[name].action(method), response.status_code
            if not answers(name, method):
                assert status == 405, (role, method)
                assert set(response["Allow"].split(", ")) == {m for m in METHODS if answers(name, m)}
            elif not may(house.people[role], action):
                assert status == 403, (role, method)
            else:
                assert status not in (401, 403, 404, 405) and status < 500, (role, method, response.content[:300])
            if status >= 400 and method != "HEAD":
                problem_of(response)


@pytest.mark.parametrize("name", WITH_IDS)
def test_another_shops_record_is_answered_like_one_that_is_not_there(house, neighbor, name):
    asker = house.ask(Role.OWNER)
    Membership.objects.filter(pk=house.people[Role.OWNER].pk).update(may_approve=True, may_move_marks=True)
    theirs = neighbor.address(name)
    nowhere = neighbor.address(name, **{part: ABSENT for part in converters(name) if part != "number"})
    for method in METHODS:
        if answers(name, method):
            with nothing_changes(leave=("accounts.ApiToken", "takeoffs.RoomLines")):
                told = [
                    asker.send(method, address, If_Match="*", Idempotency_Key="walk") for address in (theirs, nowhere)
                ]
            assert [each.status_code for each in told] == [404, 404], method
            assert told[0].content == told[1].content
            for each in told:
                del each.headers["X-Request-ID"]  # each request has its own
            assert dict(told[0].headers) == dict(told[1].headers)


def test_a_revision_that_was_never_issued_is_not_there(house):
    asker = house.ask(Role.OWNER)
    Membership.objects.filter(pk=house.people[Role.OWNER].pk).update(may_approve=True, may_move_marks=True)
    for name in WITH_IDS:
        for method in METHODS:
            if "number" in converters(name) and answers(name, method):
                address = house.address(name, number=777)
                assert asker.send(method, address, Idempotency_Key="walk").status_code == 404, (name, method)


def test_an_id_longer_than_a_database_holds_is_not_there(house):
    asker = house.ask(Role.OWNER)
    Membership.objects.filter(pk=house.people[Role.OWNER].pk).update(may_approve=True, may_move_marks=True)
    for name in WITH_IDS:
        method = next(m for m in METHODS if m != "HEAD" and answers(name, m))
        far = dict.fromkeys(converters(name), 10**30)
        problem_of(asker.send(method, house.address(name, **far), If_Match="*", Idempotency_Key="walk"), 404)


def test_approving_is_given_to_a_person_and_holds_from_the_next_request(house):
    asker, address = house.ask(Role.CREW_LEAD), house.address("approval")
    assert asker.post(address).status_code == 403
    member = Membership.objects.filter(pk=house.people[Role.CREW_LEAD].pk)
    member.update(**{PERSONAL["approve layouts"]: True})
    assert asker.post(address).json()["approved_by"] == house.people[Role.CREW_LEAD].user.name
    member.update(role=Role.CREW.value)
    assert asker.post(address).status_code == 403


def test_a_changed_role_holds_from_the_next_request(house):
    asker = house.ask(Role.ESTIMATOR)
    assert asker.get(house.address("me")).json()["role"] == "estimator"
    Membership.objects.filter(pk=house.people[Role.ESTIMATOR].pk).update(role="viewer")
    assert asker.post(house.address("jobs"), {"number": "7", "name": "Seven"}).status_code == 403


# In a browser


def signed_in(user, **options):
    client = Client(raise_request_exception=False, **options)
    client.force_login(user)
    return client


def test_a_signed_in_browser_reads_and_with_its_csrf_token_writes(house):
    client = signed_in(house.people[Role.ESTIMATOR].user, enforce_csrf_checks=True)
    client.get("/rooms/")
    token = client.get("/jobs/new/").cookies["csrftoken"].value
    body, address = {"number": "J-9", "name": "Nine"}, house.address("jobs")
    assert client.get(address).status_code == 200
    problem_of(client.post(address, body, content_type="application/json"), 403)
    told = client.post(address, body, content_type="application/json", headers={"X-CSRFToken": token})
    assert told.status_code == 201


def test_one_who_belongs_to_no_shop_chooses_one_first(house):
    told = problem_of(signed_in(UserFactory()).get(house.address("rooms")), 403)
    assert "/shops/" in told["detail"]


def test_one_who_no_longer_works_here_is_out_at_the_next_request(house):
    member = house.people[Role.OWNER]
    asker, client = house.ask(Role.OWNER), signed_in(member.user)
    Membership.objects.filter(pk=member.pk).update(active=False)
    assert asker.get(house.address("rooms")).status_code == 401
    assert client.get(house.address("rooms")).status_code == 403
