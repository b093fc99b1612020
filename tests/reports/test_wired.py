"""From records to what cable meets: framing, what is in the way, circuits, labels, how speakers are wired."""

import pytest

from layout.engine.lengths import feet, inches
from layout.engine.marks import Axis
from layout.engine.wiring.values import Note, RunKind
from layout.services import thawed
from projects.catalogue.models import FixtureType, Through
from projects.jobs.circuits import Control, SpeakerRun
from projects.platform.permissions import Role
from reports.cables.gather import room_cables
from reports.wired import room_wiring
from tests.conftest import own_copy, standing
from tests.factories import (
    CeilingFactory,
    CircuitFactory,
    HandRunFactory,
    JoistRunFactory,
    SpeakerWiringFactory,
    SwitchZoneFactory,
    ThingFactory,
    WirePointFactory,
)
from tests.reports.cable_site import Site
from tests.shops import fresh, issue

pytestmark = pytest.mark.django_db
site_standing = standing(Site)


@pytest.fixture
def site(site_standing, db):
    return own_copy(site_standing)


def framed(site):
    """Joists door to far at 16 in, the first 11 in from the left framing, and a duct across the room."""
    ceiling = CeilingFactory(room=site.room, framing="found")
    JoistRunFactory(ceiling=ceiling, first=inches(11), spacing=inches(16))
    ThingFactory(
        ceiling=ceiling, what="duct", name="duct", x=inches(100), y=inches(12), wide=inches(20), deep=inches(24),
        above=True, datum="framing",
    )  # fmt: skip
    return issue(site.room, by=site.people[Role.OWNER])


def found(site, revision=None):
    room = fresh(site.room)
    return room_cables(room, revision or room.revisions.order_by("-number").first())


def runs(site, kind, revision=None):
    return [run for run in found(site, revision).wiring.runs if run.kind is kind]


def test_framing_and_what_is_in_the_way_stand_on_the_plan_where_they_were_measured(site):
    revision = framed(site)
    room = fresh(site.room)
    wired = room_wiring(room, revision, thawed(revision))
    (framing,) = wired.framing
    assert (framing.runs, framing.spacing, framing.first) == (Axis.DOOR_FAR, inches(16), inches(11))
    (duct,) = wired.in_the_way
    assert (duct.area.left, duct.area.right) == (inches(90), inches(110))
    assert (duct.area.door, duct.area.far) == (inches(0), inches(24))
    assert (wired.extent.right, wired.extent.far) == (inches(166), inches(93))


def test_a_cable_across_the_framing_is_bored_through_each_member_once(site):
    """The last hop of a row runs 127 in less what the ends are set in: members stand at 11 + 16 k."""
    revision = framed(site)
    for run in found(site, revision).wiring.runs:
        across = sorted(point.x for point in (run.bends[0], run.bends[-1]))
        members = [11 + 16 * step for step in range(10)]
        crossed = sum(across[0] < inches(at) < across[1] for at in members)
        assert run.bored >= crossed, run
        if not run.around and len(run.bends) <= 3:
            assert run.bored == crossed, run


def test_a_20_amp_circuit_is_pulled_in_12_gauge_and_its_3_way_in_12_3(site):
    circuit = CircuitFactory(job=site.room.job, number="7", breaker_amps=20, awg=None)
    SwitchZoneFactory(room=site.room, letter="A", circuit=circuit, control=Control.THREE_WAY)
    WirePointFactory(room=site.room, what="three_way", zone="A", from_left=inches(160), from_door=inches(0))
    assert {run.cable for run in runs(site, RunKind.HOP)} == {"12/2"}
    (three_way,) = runs(site, RunKind.THREE_WAY)
    assert three_way.cable == "12/3"
    assert found(site).cables[0].id == "1-H7"


def test_a_label_nobody_read_is_not_verified_and_one_that_forbids_it_takes_a_box(site):
    assert all(Note.THROUGH_NOT_VERIFIED in run.notes for run in runs(site, RunKind.HOP))
    FixtureType.objects.of(site.shop).update(through_wiring=Through.NO)
    wiring = found(site).wiring
    assert wiring.boxes_counted
    assert not any(Note.THROUGH_NOT_VERIFIED in run.notes for run in wiring.runs)
    FixtureType.objects.of(site.shop).update(through_wiring=Through.YES, through_conductors=4)
    assert not found(site).wiring.boxes


def test_speakers_on_a_line_are_chained_and_the_level_at_the_last_tap_is_told(site):
    SpeakerWiringFactory(room=site.room, kind=SpeakerRun.CHAINED_LINE)
    lines = runs(site, RunKind.SPEAKER_LINE)
    assert len(lines) == 4
    assert not runs(site, RunKind.SPEAKER)
    assert found(site).losses[lines[-1].key].db > 0


def test_a_run_set_by_hand_is_counted_and_one_for_a_run_that_is_gone_is_not(site):
    HandRunFactory(room=site.room, kind="homerun", low_id="panel", high_id="switch", length=feet(61))
    HandRunFactory(room=site.room, kind="hop", low_id="A1", high_id="A99", length=feet(500))
    wiring = found(site).wiring
    (homerun,) = [run for run in wiring.runs if run.kind is RunKind.HOMERUN]
    assert (homerun.length, wiring.by_hand) == (feet(61), feet(61))
    assert homerun.computed != feet(61)
    assert [each.to_id for each in wiring.unmatched] == ["A99"]
