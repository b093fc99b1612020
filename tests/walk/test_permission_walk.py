"""Every address of the product, walked by everyone: who gets in, who doesn't, and that nothing leaks or moves.

The routes come from the URL resolver and the right to them from the permission table, so a page added without a row
fails here. The table itself is held against the README's sentences at the end. The API walks itself.

The houses, and each page as it was rendered once for a person, stand in walked.py.
"""

import re

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.test import Client
from django.urls import path

from layout.models import Draft
from projects.accounts.models import Membership
from projects.platform.permissions import ACTIONS, ANYONE, PERSONAL, ROUTES, Role, may
from reports.close_out import made
from tests.factories import (
    MemberFactory,
    UserFactory,
)
from tests.untouched import nothing_changes, taken_back
from tests.walk.walked import (
    INSIDE,
    OTHER_VERBS,
    PAGES,
    PRINT_PACKET,
    as_person,
    go,
    words,
)


def test_every_page_has_a_row_in_the_table():
    assert {"home", "room", "job_packet", "check_card"} <= set(PAGES), "the walk found too little"
    assert [name for name in PAGES if name not in ROUTES] == []


def test_a_page_without_a_row_answers_nobody(settings, house):
    """Not even the owner: leaving a row out closes a page, it does not open it."""

    class Urls:
        urlpatterns = [path("loose/", lambda request: pytest.fail("the page ran"), name="loose")]

    settings.ROOT_URLCONF = Urls
    with pytest.raises(ImproperlyConfigured, match="loose"):
        as_person(house.people[Role.OWNER].user).get("/loose/")


# Who gets in


def all_but(statement, names):
    """The names and methods for which a statement does not hold."""
    return [(name, method) for name in names for method in ("GET", "POST") if not statement(name, method)]


def test_without_signing_in_one_is_asked_to(house):
    def answered_otherwise(answer, name):
        if name == "healthz":  # whoever asks has a token of its own
            return answer.status_code == 401
        there = "/sign-in/" if name == "sign_in_code" else house.address("check_card")  # the password first; or newest
        return answer.status_code == 302 and answer.url == there

    def asked(name, method):
        action = ROUTES[name].action(method)
        with taken_back():
            answer = go(Client(), method, house.address(name))
        if action is None:
            return answer.status_code == 405
        if action == ANYONE:
            return answer.status_code in (200, 422) or answered_otherwise(answer, name)
        return answer.status_code == 302 and answer.url.startswith("/sign-in/?next=")

    assert all_but(asked, PAGES) == []


def test_signed_in_without_a_shop_one_chooses_first(house):
    client = as_person(UserFactory())

    def chooses(name, method):
        answer = go(client, method, house.address(name))
        if ROUTES[name].action(method) is None:
            return answer.status_code == 405
        return (answer.status_code, answer.url) == (302, "/shops/")

    assert all_but(chooses, INSIDE) == []


def test_one_who_no_longer_works_here_is_out_at_the_next_page(house):
    member = house.people[Role.OWNER]

    def out(name, method):
        with taken_back():
            client = as_person(member.user)
            Membership.objects.filter(pk=member.pk).update(active=False)
            return go(client, method, house.address(name)).status_code in (302, 405)

    assert all_but(out, INSIDE) == []


@pytest.mark.parametrize("name", INSIDE)
def test_each_role_gets_what_the_table_gives_it(house, seen, name):
    for role, member in house.people.items():
        with taken_back():
            answers = {"GET": seen(name, role).answer, "POST": go(as_person(member.user), "POST", house.address(name))}
        for method, answer in answers.items():
            action = ROUTES[name].action(method)
            if action is None:
                assert answer.status_code == 405, (role, method)
            elif may(member, action):
                assert answer.status_code in (200, 302, 422), (role, method)
                assert not (answer.status_code == 302 and answer.url.startswith(("/sign-in/", "/shops/"))), role
            else:
                assert answer.status_code == 403, (role, method)


@pytest.mark.parametrize("role", [Role.CREW, Role.VIEWER])
def test_what_an_owner_gives_to_a_person_is_not_for_crew_and_viewers(house, role):
    """Even when the tick is in the database: the role decides first."""
    member = house.people[role]
    Membership.objects.filter(pk=member.pk).update(may_approve=True, may_move_marks=True)
    assert go(as_person(member.user), "POST", house.address("approve_revision")).status_code == 403


# What reading and odd verbs must not do


@pytest.mark.parametrize("name", INSIDE)
def test_reading_changes_nothing(seen, name):
    for role in (Role.OWNER, Role.VIEWER):
        assert seen(name, role).changed == "", role


@pytest.mark.parametrize("name", ["room", "room_preview"])
def test_looking_at_a_room_nobody_laid_out_changes_nothing(house, name):
    Draft.objects.of(house.shop).filter(room=house.room).delete()
    client = as_person(house.people[Role.VIEWER].user)
    with nothing_changes():
        assert go(client, "GET", house.address(name)).status_code == 200


def test_a_page_knows_no_other_verb(house, owner):
    with nothing_changes():
        for name in PAGES:
            for method in OTHER_VERBS:
                answer = go(owner, method, house.address(name))
                assert answer.status_code == 405, (name, method)
                assert set(answer["Allow"].replace(" ", "").split(",")) <= {"GET", "HEAD", "POST"}, (name, method)


def test_a_form_without_its_token_is_refused(house):
    client = Client(enforce_csrf_checks=True)
    client.force_login(house.people[Role.OWNER].user)
    with nothing_changes():
        for name in PAGES:
            if ROUTES[name].write:
                assert client.post(house.address(name)).status_code == 403, name


# Headers

STRICT = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
        "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; manifest-src 'self'; "
        "worker-src 'self'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
INLINE = re.compile(
    rb"<script(?![^>]*\bsrc=)(?![^>]*application/json)[^>]*>|<style|\sstyle=|<[^>]+\son[a-z]+=|=\"?javascript:", re.I
)


@pytest.mark.parametrize("name", INSIDE)
def test_every_page_comes_with_the_same_strict_headers_and_nothing_inline(seen, name):
    answer = seen(name, Role.OWNER).answer
    assert {header: answer.get(header) for header in STRICT} == STRICT
    assert answer["Cache-Control"].startswith("private")
    if answer["Content-Type"].startswith("text/html") and not answer.streaming:
        assert INLINE.findall(answer.content) == []


def test_so_does_what_is_open_to_anyone_refused_or_not_there(house):
    client = Client()
    addresses = [house.address(name) for name in PAGES if ROUTES[name].read == ANYONE]
    refused = ("/nothing-here/", "/jobs/", "/api/v1/jobs/", "/api/nothing/", "/sign-in/?next=1&next=2")
    for address in (*addresses, *refused):
        answer = client.get(address)
        assert {header: answer.get(header) for header in STRICT} == STRICT, address


# Prices

MONEY = re.compile(r"\b(price|prices|priced|pricing|cost|costs|markup|margin)\b|[$€£]", re.IGNORECASE)


@pytest.mark.parametrize("role", [Role.CREW_LEAD, Role.CREW, Role.VIEWER])
def test_who_may_not_see_prices_reads_no_word_of_money(seen, role):
    for name in INSIDE:
        answer = seen(name, role).answer
        if answer.status_code == 200 and name != "job_packet":
            assert MONEY.findall(words(answer)) == [], name


def test_no_document_on_paper_has_a_word_of_money(house, monkeypatch):
    """Paper is handed on: the packet holds every document of the job."""
    monkeypatch.setattr(made, "job_packet", PRINT_PACKET)
    client = as_person(house.people[Role.OWNER].user)
    packet = words(client.get(house.address("job_packet")))
    assert "Snug" in packet and "Rough-in checklist" in packet
    assert MONEY.findall(packet) == []


def test_a_card_sent_out_has_no_word_of_money(house):
    for address in (house.address("check_card"), "/sign-in/"):
        assert MONEY.findall(words(Client().get(address))) == []


# The table against the README's own sentences


READ = {"owner", "estimator", "crew_lead", "crew", "viewer"}
README = {
    "read rooms": READ,
    "measure": READ - {"viewer"},
    "print cards": READ - {"viewer"},
    "keep rooms": {"owner", "estimator", "crew_lead"},
    "lay out": {"owner", "estimator", "crew_lead"},
    "move stages": {"owner", "estimator", "crew_lead"},
    "pass guards": {"owner"},
    "answer checklists": READ - {"viewer"},
    "take photos": READ - {"viewer"},
    "mark out": READ - {"viewer"},
    "record inspections": {"owner", "estimator", "crew_lead"},
    "plan crews": {"owner", "estimator", "crew_lead"},
    "join phones": {"owner", "estimator", "crew_lead"},
    "ask clients": {"owner", "estimator"},
    "own settings": READ,
    "verify cutouts": {"owner", "estimator", "crew_lead"},
    "keep jobs": {"owner", "estimator"},
    "keep the catalog": {"owner", "estimator"},
    "run the shop": {"owner"},
    "own token": READ,
    "wire rooms": {"owner", "estimator", "crew_lead"},
    "order material": {"owner", "estimator", "crew_lead"},
    "pull cable": READ - {"viewer"},
    "log hours": READ - {"viewer"},
    "receive material": READ - {"viewer"},
    "write extras": READ - {"viewer"},
    "count takeoffs": {"owner", "estimator"},
    "see prices": {"owner", "estimator"},
    "keep prices": {"owner", "estimator"},
    "bid": {"owner", "estimator"},
    "change contracts": {"owner", "estimator"},
}


def test_the_table_says_what_the_readme_says():
    assert {action: {role.value for role in roles} for action, roles in ACTIONS.items()} == README
    assert set(PERSONAL) == {"approve layouts", "move marks", "quote changes"}


BY_TOKEN = {
    "check_card", "check_changes", "client_link", "calendar_feed", "client_approval", "approval_plan", "approval_copy",
}  # whoever holds the paper or the address
PHONE_SHELL = {"field_worker", "field_hello", "field_no_signal", "field_cannot_tell", "field_waiting"}  # nobody's data


def test_only_these_pages_are_open_to_anyone():
    opened = {name for name, route in ROUTES.items() if ANYONE in (route.read, route.write)}
    by_letter = {"sign_in_code", "lost_password", "new_password", "invitation"}
    words = {"alive", "security_txt", "problems", "problem"}
    assert opened - {"healthz"} <= {"sign_in", "join"} | words | by_letter | BY_TOKEN | PHONE_SHELL


@pytest.mark.parametrize("role", [Role.OWNER, Role.ESTIMATOR, Role.CREW_LEAD])
def test_approving_is_given_to_a_person_by_the_owner(db, role):
    member = MemberFactory(role=role.value)
    assert not may(member, "approve layouts")
    member.may_approve = True
    assert may(member, "approve layouts")
