"""What the finished walls and the center line say of a ceiling that stands off its walls. Every number by hand."""

import pytest

from layout.engine.lengths import inches
from layout.engine.stacks import Holds, Layer, SideBuildUp, net_span, reconcile
from projects.jobs import services
from reports.documents.sheet import Datum
from reports.sheets import card_sheet
from tests.factories import JobFactory, RoomFactory, ShopFactory
from tests.shops import draft_room, fresh, issue, tape_room


def furred(gap):
    return SideBuildUp((Layer("furring", inches(2)),), gap=inches(gap))


def test_a_cloud_that_came_out_larger_leaves_less_gap_and_the_same_walls():
    """166 less 2 and 2 of furring is 162 from finished wall to finished wall, whatever the cloud measures."""
    datums = reconcile(net_span(inches(166), furred(6), furred(6)), inches("150 1/2"), Holds.START)
    assert (datums.start_gap, datums.end_gap) == (inches(6), inches("5 1/2"))
    assert datums.start_gap + datums.ceiling + datums.end_gap == inches(162)


def test_where_no_gap_was_planned_the_ceilings_edge_is_the_finished_wall():
    """166 less 2, and 2 and 6, is 156; an inch more is half an inch at each wall."""
    datums = reconcile(net_span(inches(166), furred(0), furred(6)), inches(157), Holds.SPLIT)
    assert (datums.start_gap, datums.start_offset) == (inches(0), inches("1 1/2"))
    assert (datums.end_gap, datums.end_offset) == (inches("5 1/2"), inches("7 1/2"))


@pytest.fixture
def room(db):
    """Framing 160 x 100 with 4 in of furring on the left wall alone: 156 in of ceiling, 82 in its middle."""
    room = RoomFactory(job=JobFactory(shop=ShopFactory()))
    services.set_build_up(room, [("left", "furring", inches(4))])
    tape_room(room, "framing", "160", "100")
    draft_room(room, rows=1, lights_per_row=3, end_setback=inches(24), speaker_gaps="", speaker_type=None)
    return room


@pytest.mark.parametrize("zero_x", ["left", "right"])
def test_at_framing_the_center_line_is_moved_off_the_furred_wall(room, zero_x):
    """The middle of 160 is 80 off the left framing; the ceiling's is 82: 2 in toward the right wall. 54 either way."""
    room.zero_x = zero_x
    room.save()
    said = card_sheet(issue(room), fresh(room), Datum.FRAMING).center_lines
    assert said[0] == (
        'Center between left wall and right wall: move it 2" toward the right wall, then on it, then 54 both ways'
    )
    assert "move" not in said[1]


def test_at_the_finished_wall_the_middle_is_the_middle(room):
    said = card_sheet(issue(room), fresh(room), Datum.FINISHED).center_lines
    assert said[0] == "Center between left wall and right wall: on it, then 54 both ways"


@pytest.mark.parametrize("zero_x", ["left", "right"])
def test_a_gap_at_one_wall_only_is_a_gap_from_either_corner(room, zero_x):
    """6 in left open at the left wall: 150 in of ceiling, and the plan and the sum both end at its edge."""
    room.gap_left, room.zero_x = inches(6), zero_x
    room.save()
    sheet = card_sheet(issue(room), fresh(room), Datum.EDGE)
    assert sheet.datum is Datum.EDGE
    assert sheet.check.lines[0].expect == "150"
    assert sheet.along.last == "24"
