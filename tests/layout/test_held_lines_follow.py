"""A room that is turned or copied: what a person holds stays on its holes, and goes along."""

import pytest

from layout.engine.lengths import inches
from layout.engine.marks import Kind
from layout.engine.pins import Line, Moved, Pin
from layout.models import MovedMark, ZoneNumbers
from layout.services import change_draft, draft_of
from projects.jobs import services
from tests.factories import JobFactory, ShopFactory
from tests.shops import build_room, draft_room, fresh

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    """A ceiling of 150 x 90: three columns, two rows, column 1 held at 20, row 2 at 70, a light put at 80, 15."""
    room = build_room(JobFactory(shop=ShopFactory()), furring="", gap="0", framing=None, finished=("150", "90"))
    draft = draft_room(room, speaker_rows="1", speakers_between="1")
    change_draft(
        draft,
        draft.version,
        {},
        {"along": (), "across": ()},
        pins=(Pin(Line.COLUMN, 1, inches(20)), Pin(Line.ROW, 2, inches(70))),
        moved=(Moved(Kind.LIGHT, 1, 2, inches(80), inches(15)),),
        zones=(("tray", 1, None),),
    )
    return fresh(room)


def turned(room, **changes):
    services.change_room(room, room.version, changes)
    return draft_of(fresh(room))


def pins(draft):
    return {(pin.line.value, pin.number, pin.at) for pin in draft.held()[0]}


def test_from_the_right_wall_column_1_at_20_is_column_3_at_130(room):
    assert pins(turned(room, zero_x="right")) == {("column", 3, inches(130)), ("row", 2, inches(70))}


def test_from_the_far_wall_row_2_at_70_is_row_1_at_20(room):
    assert pins(turned(room, zero_y="far")) == {("column", 1, inches(20)), ("row", 1, inches(20))}


def test_with_the_rows_turned_a_held_column_is_a_held_row(room):
    assert pins(turned(room, rows_run="door_far")) == {("row", 1, inches(20)), ("column", 2, inches(70))}


def test_a_mark_that_was_put_off_its_line_stays_where_it_is(room):
    """From the far right corner the second of three in row 1 of two is the second of row 2, at 150 - 80 and 90 - 15."""
    (moved,) = turned(room, zero_x="right", zero_y="far").held()[1]
    assert (moved.row, moved.number, moved.along, moved.across) == (2, 2, inches(70), inches(75))


def test_speakers_in_row_1_of_two_are_in_row_2_from_the_other_side(room):
    draft = turned(room, zero_y="far")
    assert (draft.speaker_rows, draft.speakers_between) == ("2", "1")


def test_a_copy_holds_the_same(room):
    (twin,) = services.copy_room(room, 1)
    draft = draft_of(fresh(twin))
    assert pins(draft) == pins(draft_of(room))
    assert draft.held()[1] == draft_of(room).held()[1]
    assert MovedMark.objects.count() == 2 and ZoneNumbers.objects.count() == 2


def test_zones_and_what_is_held_stay_when_other_numbers_are_kept(room):
    draft = draft_of(room)
    change_draft(draft, draft.version, {"rows": 3}, {"along": (), "across": ()})
    after = draft_of(fresh(room))
    assert pins(after) == pins(draft) and [zone.name for zone in after.zone_numbers()] == ["tray"]
