"""Every list comes in pages, and costs as many queries for many rows as for few."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from layout.models import LayoutRevision
from projects.accounts.models import ApiToken
from projects.jobs import services
from projects.jobs.models import Room
from projects.platform.permissions import Role
from reports.services import log_copy
from tests.api.houses import problem_of
from tests.factories import FixtureTypeFactory, JobFactory, LayoutRevisionFactory, RevisionMarkFactory, RoomFactory

LISTS = ("jobs", "job_rooms", "rooms", "fixture_types", "stages", "measurements", "revisions", "marks", "cards")
MORE = 5


def add_to(house, name):
    """More rows for a list to show."""
    by = house.people[Role.OWNER]
    house.room.refresh_from_db()
    for n in range(MORE):
        if name == "jobs":
            RoomFactory(job=JobFactory(shop=house.shop))
        elif name in ("job_rooms", "rooms"):
            house.build(f"Room {house.job.rooms.count()}")
        elif name == "fixture_types":
            FixtureTypeFactory(shop=house.shop)
        elif name == "stages":
            services.move_stage(house.room, n, by=house.people[list(Role)[n]])
        elif name == "measurements":
            house_visit(house)
        elif name == "revisions":
            LayoutRevisionFactory(room=house.room)
        elif name == "marks":
            RevisionMarkFactory(revision=house.revision, ident=f"B{house.revision.marks.count()}")
        elif name == "cards":
            log_copy(house.revision, how="printed", held_by=f"M{n}", datum="finished", by=by)


def house_visit(house):
    services.record_measurements(
        house.room, [("door", 1, house.light.cutout * 40, None)], kind="plan", taken_on="2026-05-03", taken_by="R."
    )


def queries_of(ask):
    with CaptureQueriesContext(connection) as seen:
        response = ask()
    assert response.status_code == 200, response.content
    return len(seen)


@pytest.mark.parametrize("name", LISTS)
def test_a_list_costs_the_same_however_long(house, name):
    add_to(house, name)
    asker, address = house.ask(Role.VIEWER), house.address(name)
    asker.get(address)  # the token's last use is written once a minute
    few = queries_of(lambda: asker.get(address))
    count = asker.get(address).json()["count"]
    add_to(house, name)
    assert asker.get(address).json()["count"] == count + MORE
    assert queries_of(lambda: asker.get(address)) == few
    assert few <= 20


@pytest.mark.parametrize("name", ["me", "job", "room", "build_up", "counts", "draft", "revision", "fixture_type"])
def test_a_record_costs_the_same_however_much_hangs_on_it(house, name):
    asker, address = house.ask(Role.VIEWER), house.address(name)
    add_to(house, "stages")
    asker.get(address)
    few = queries_of(lambda: asker.get(address))
    for other in ("stages", "measurements", "marks", "cards"):
        add_to(house, other)
    assert queries_of(lambda: asker.get(address)) == few <= 20


def test_a_page_is_as_long_as_asked_for_up_to_two_hundred(house):
    RoomFactory.create_batch(210, job=house.job)
    asker, address = house.ask(), house.address("rooms")
    assert len(asker.get(address).json()["results"]) == 50
    assert len(asker.get(f"{address}?page_size=7").json()["results"]) == 7
    first = asker.get(f"{address}?page_size=5000").json()
    assert (first["count"], len(first["results"])) == (211, 200)
    rest = asker.get(first["next"]).json()
    assert (len(rest["results"]), rest["next"]) == (11, None)
    assert len({room["id"] for room in first["results"] + rest["results"]}) == 211


@pytest.mark.parametrize("page", ["0", "-1", "3", "x", "1e3", "9" * 40])
def test_a_page_that_is_not_there_is_said(house, page):
    problem_of(house.ask().get(f"{house.address('jobs')}?page={page}"), 404)


@pytest.mark.parametrize("size", ["0", "-1", "x", "9" * 5000])
def test_a_page_size_that_means_nothing_is_refused(house, size):
    response = house.ask().get(f"{house.address('jobs')}?page_size={size}")
    if size.isdecimal() and size.strip("0"):
        assert response.status_code == 200  # counts as the most there is
    else:
        [error] = problem_of(response, 400)["errors"]
        assert error["parameter"] == "page_size"


# The Rooms list


def test_rooms_are_narrowed_as_on_the_screen(house):
    bath = house.build("Guest bath")
    services.move_stage(bath, 5, waits_for="GC: board")
    Room.objects.of(house.shop).filter(pk=house.room.pk).update(waits_for="")
    asker, rooms = house.ask(Role.VIEWER), house.address("rooms")

    def names(question):
        return [room["name"] for room in asker.get(f"{rooms}?{question}").json()["results"]]

    assert sorted(names("")) == ["Guest bath", "Snug"]
    assert names("stage=5") == names("flag=waits") == names("q=guest") == ["Guest bath"]
    assert names("flag=no_layout") == ["Guest bath"]
    assert names("sort=-stage")[0] == "Guest bath"
    assert names(f"job={house.job.pk}&q=snug") == ["Snug"]
    assert names("job=987654") == []


def test_a_room_tells_its_layout_and_its_size(house):
    asker = house.ask(Role.VIEWER)
    [room] = asker.get(house.address("rooms")).json()["results"]
    assert (room["revision"], room["lights"], room["speakers"], room["card"]) == (1, 6, 0, None)
    assert room["size"]["left_to_right"] == {"nm": 166 * 25_400_000, "text": '166"'}
    assert room["unverified"] is True


@pytest.mark.parametrize("question", ["stage=99", "state=lost", "flag=x", "sort=price", "job=x", "job=-1", "hue=red"])
def test_a_question_nobody_can_answer_is_refused_by_name(house, question):
    """Left out, it would give a longer list than was asked for."""
    [error] = problem_of(house.ask().get(f"{house.address('rooms')}?{question}"), 400)["errors"]
    assert error["parameter"] == question.split("=")[0]


def test_a_token_that_was_used_shows_when(house):
    asker = house.ask(Role.CREW)
    assert ApiToken.objects.get().last_used_at is None
    asker.get(house.address("rooms"))
    first = ApiToken.objects.get().last_used_at
    assert first is not None
    asker.get(house.address("rooms"))
    assert ApiToken.objects.get().last_used_at == first


def test_the_revisions_of_a_room_come_latest_first(house):
    LayoutRevisionFactory(room=house.room)
    told = house.ask().get(house.address("revisions")).json()["results"]
    assert [each["number"] for each in told] == [2, 1]
    assert LayoutRevision.objects.of(house.shop).count() == 2
