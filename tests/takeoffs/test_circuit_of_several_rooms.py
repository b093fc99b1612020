"""A circuit of several rooms: one homerun, one breaker, one panel connector over the job. Counts are by hand."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from layout.engine.lengths import feet, inches
from layout.engine.wiring.runs import RunKind
from layout.engine.wiring.values import Lacks
from projects.jobs import services as jobs
from projects.jobs.models import Circuit, Room
from projects.platform.permissions import Role
from reports.contents import room_contents
from reports.takeoffs.counting import count_job, stale_rooms
from reports.takeoffs.models import RoomLines
from tests.factories import (
    CircuitFactory,
    FixtureTypeFactory,
    JobFactory,
    RoomFactory,
    SwitchZoneFactory,
    WirePointFactory,
)
from tests.shops import fresh, issue, people_of, practice_room, sign_in, tape_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    return JobFactory()


@pytest.fixture
def circuit(job):
    return CircuitFactory(job=job, number="7")


@pytest.fixture
def rooms(job, circuit):
    """Two rooms laid out, all their lights in zone A, on one circuit; switch and panel of each are placed."""
    made = []
    for name in ("Den", "Hall"):
        room = practice_room(job.shop, job=job)
        Room.objects.of(job.shop).filter(pk=room.pk).update(name=name)
        SwitchZoneFactory(room=room, letter="A", circuit=circuit)
        tape_room(room, "framing", "166", "93", height="108")
        for n, what in enumerate(("switch", "panel", "rack"), 1):
            WirePointFactory(room=room, what=what, from_left=inches(30 * n))
        issue(fresh(room))
        made.append(fresh(room))
    return made


def homeruns(job):
    """Breakers by room; panel connectors go with them."""
    (breaker,) = [line for line in count_job(job).job.lines if line.key == "breaker"]
    (connector,) = [line for line in count_job(job).job.lines if line.key == "panel_connector"]
    assert connector.by_room == breaker.by_room
    return dict(breaker.by_room)


def choose(circuit, room):
    Circuit.objects.of(circuit.shop).filter(pk=circuit.pk).update(homerun_room=room)


def wiring_of(room):
    return room_contents(fresh(room), fresh(room).revisions.first()).wiring


def test_two_rooms_on_one_circuit_count_one_breaker_in_the_first_until_another_is_chosen(job, circuit, rooms):
    _den, hall = rooms
    assert homeruns(job) == {"Den": 1}
    choose(circuit, hall)
    assert homeruns(job) == {"Hall": 1}


def test_a_room_fed_from_another_waits_for_its_feed_and_has_no_homerun(rooms):
    den, hall = rooms
    assert RunKind.HOMERUN in [run.kind for run in wiring_of(den).runs]
    wiring = wiring_of(hall)
    assert RunKind.HOMERUN not in [run.kind for run in (*wiring.runs, *wiring.waiting)]
    assert [(each.lacks, each.waits) for each in wiring.missing] == [(Lacks.FEED, ("Den",))]
    (feed,) = wiring.waiting
    assert (feed.from_id, feed.to_id, feed.circuit) == ("switch", "room Den", "7")


def test_the_feed_counts_once_its_feet_are_set_on_the_rooms_page(client, job, rooms):
    _den, hall = rooms
    before = {line.key: line.net for line in count_job(job).rooms[1].takeoff.lines}
    sign_in(client, people_of(job.shop)[Role.CREW_LEAD])
    address = reverse("room_wiring", args=[hall.pk])
    page = client.get(address)
    assert "Feed from Den: set its feet by hand." in page.content.decode()
    (number,) = [value for value, words in page.context["form"].fields["run"].widget.choices if "not counted" in words]
    sent = client.post(address, {"run": number, "length": "31 ft", "why": "Pulled through the wall"})
    assert sent.status_code == 302
    after = count_job(job).rooms[1].takeoff
    assert not after.missing
    assert next(line.net for line in after.lines if line.key == "cable:14/2") - before["cable:14/2"] == feet(31)
    assert ">2-F7<" in client.get(address).content.decode().replace("</", "<")


def test_a_cancelled_room_has_no_homerun_and_the_next_one_takes_it(job, circuit, rooms):
    den, _hall = rooms
    choose(circuit, den)
    assert homeruns(job) == {"Den": 1}
    Room.objects.of(job.shop).filter(pk=den.pk).update(cancelled=True)
    assert homeruns(job) == {"Hall": 1}


def test_a_room_nobody_has_measured_counts_none_where_another_feeds_it(job, circuit, rooms):
    loft = RoomFactory(job=job, name="Loft")
    jobs.set_counts(loft, [(FixtureTypeFactory(shop=job.shop), "A", 4)])
    assert homeruns(job) == {"Den": 1, "Loft": 1}
    SwitchZoneFactory(room=loft, letter="A", circuit=circuit)
    assert homeruns(job) == {"Den": 1}
    choose(circuit, loft)
    assert homeruns(job) == {"Loft": 1}


def test_kept_counts_are_stale_once_another_room_joins_or_leaves_or_the_home_is_renamed(job, circuit, rooms):
    den, hall = rooms
    count_job(job)
    assert stale_rooms(job)[0] == []
    hall.switch_zones.update(circuit=None)
    assert stale_rooms(job)[0] == [hall.pk]
    count_job(job)
    hall.switch_zones.update(circuit=circuit)
    count_job(job)
    Room.objects.of(job.shop).filter(pk=den.pk).update(name="Study")
    assert set(stale_rooms(job)[0]) == {den.pk, hall.pk}
    count_job(job)
    den.switch_zones.update(circuit=None)  # Hall is the first on it now, though nothing of its own changed
    assert set(stale_rooms(job)[0]) == {den.pk, hall.pk}
    assert homeruns(job) == {"Study": 1, "Hall": 1}


def test_counting_asks_no_more_for_more_rooms_on_a_circuit(job, circuit, rooms, django_assert_num_queries):
    count_job(job)
    RoomLines.objects.all().delete()
    with CaptureQueriesContext(connection) as two:
        count_job(job)
    RoomLines.objects.all().delete()
    for number in range(3):
        SwitchZoneFactory(room=RoomFactory(job=job, name=f"Room {number}"), letter="A", circuit=circuit)
    with django_assert_num_queries(len(two)):
        count_job(job)
