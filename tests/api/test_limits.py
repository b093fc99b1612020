"""How much a token, a person and an unknown address may ask in a minute: exactly, over processes; and what is said."""


import pytest
from django.test import Client

from projects.platform.permissions import Role
from projects.traffic import counts
from projects.traffic.models import Count
from tests.api.houses import Asker, problem_of

NOON = 1_800_000_000.0  # a whole number of minutes from 1970: 30,000,000


@pytest.fixture(autouse=True)
def a_process_that_just_started():
    counts.forget()
    yield
    counts.forget()


def test_a_limit_lets_through_exactly_so_many(db):
    assert [counts.take("a", 3, 60, now=NOON + n) for n in range(3)] == [0, 0, 0]
    assert counts.take("a", 3, 60, now=NOON + 20) == 41  # to the end of the minute
    assert counts.take("b", 3, 60, now=NOON + 20) == 0  # others have their own
    assert counts.take("a", 3, 60, now=NOON + 60) == 0  # and the next minute is a new one


def test_what_is_taken_at_once_is_taken_whole_or_not(db):
    assert counts.take("a", 10, 60, 8, now=NOON) == 0
    assert counts.take("a", 10, 60, 3, now=NOON) > 0
    assert counts.take("a", 10, 60, 2, now=NOON) == 0
    assert counts.take("c", 10, 60, 11, now=NOON) > 0


@pytest.mark.parametrize("most", [1, 5, 59, 60, 61, 600, 1000])
def test_spent_from_memory_it_is_as_exact(db, most):
    through = sum(counts.spend("a", most, now=NOON) == 0 for _ in range(most + 40))
    assert through == most


def test_two_processes_together_never_pass_the_limit(db, monkeypatch):
    """Each spends from a memory of its own; the row is what they share."""
    memories = [{}, {}]
    through = 0
    for n in range(800):
        monkeypatch.setattr(counts, "_held", memories[n % 2])
        through += counts.spend("a", 300, now=NOON) == 0
    assert 300 - 300 // counts.LEASES_OF_A_STRETCH <= through <= 300


def test_most_reads_write_nothing(db, django_assert_num_queries):
    counts.spend("a", 600, now=NOON)
    with django_assert_num_queries(0):
        for _ in range(600 // counts.LEASES_OF_A_STRETCH - 1):
            counts.spend("a", 600, now=NOON)


def statuses(asker, address, n):
    return [asker.get(address).status_code for _ in range(n)]


def test_a_token_that_asks_too_often_is_told_how_long_to_wait(house, settings, monkeypatch):
    settings.API_PER_MINUTE = 4
    monkeypatch.setattr(counts.time, "time", lambda: NOON + 12)
    asker, other, address = house.ask(), house.ask(), house.address("jobs")
    assert statuses(asker, address, 5) == [200] * 4 + [429]
    response = asker.get(address)
    assert problem_of(response, 429)["type"].endswith("/problems/throttled/")
    assert response["Retry-After"] == "49"
    assert other.get(address).status_code == 200  # a second token of the same person
    assert house.ask(Role.CREW).get(address).status_code == 200
    monkeypatch.setattr(counts.time, "time", lambda: NOON + 12 + 49)
    assert asker.get(address).status_code == 200


def test_a_signed_in_browser_counts_as_its_person(house, settings, monkeypatch):
    settings.API_PER_MINUTE = 2
    monkeypatch.setattr(counts.time, "time", lambda: NOON)
    for expected in ([200, 200, 429], [429]):  # another browser of the same person has no more
        client = Client()
        client.force_login(house.people[Role.CREW].user)
        assert [client.get(house.address("jobs")).status_code for _ in expected] == expected


def test_who_has_no_token_that_opens_anything_is_counted_by_address(house, settings, monkeypatch):
    settings.API_UNKNOWN_PER_MINUTE = 3
    monkeypatch.setattr(counts.time, "time", lambda: NOON)
    address = house.address("jobs")
    assert statuses(Asker("wrong"), address, 2) + statuses(Asker(), address, 2) == [401, 401, 401, 429]
    forged = Asker("wrong").get(address, X_Forwarded_For="203.0.113.9")
    assert forged.status_code == 429  # nobody but a proxy of ours may say where it came from
    elsewhere = Client(REMOTE_ADDR="198.51.100.7").get(address)
    assert elsewhere.status_code == 401
    assert house.ask().get(address).status_code == 200  # who is known is not shut out by a neighbor


def test_neither_token_nor_address_is_written_down(house, settings):
    settings.API_PER_MINUTE = settings.API_UNKNOWN_PER_MINUTE = 50
    house.ask().get(house.address("jobs"))
    Client(REMOTE_ADDR="198.51.100.7").get(house.address("jobs"))
    assert Count.objects.count() == 2
    assert not [row for row in Count.objects.all() if "198.51" in row.who or len(row.who) != 64]
