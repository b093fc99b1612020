"""A room whose zero corner or rows are turned after numbers were locked: the holes stay where they are."""

import pytest

from layout.engine.lengths import inches
from layout.services import draft_of
from projects.jobs import services
from tests.factories import JobFactory, ShopFactory
from tests.shops import build_room, draft_room, fresh

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    """A ceiling of 100 x 60 with holes 20 and 70 along from the left, 15 across from the door wall."""
    room = build_room(JobFactory(shop=ShopFactory()), furring="", gap="0", framing=None, finished=("100", "60"))
    draft = draft_room(room, mode_along="locked", mode_across="locked", speaker_gaps="")
    for axis, at in (("along", "20"), ("along", "70"), ("across", "15")):
        draft.typed_positions.create(axis=axis, position=inches(at))
    return fresh(room)


def turned(room, **changes):
    services.change_room(room, room.version, changes)
    draft = draft_of(fresh(room))
    return draft.typed("along"), draft.typed("across")


def test_from_the_right_wall_a_hole_20_from_the_left_is_80(room):
    assert turned(room, zero_x="right") == ((inches(30), inches(80)), (inches(15),))


def test_from_the_far_wall_a_row_15_from_the_door_is_45(room):
    assert turned(room, zero_y="far") == ((inches(20), inches(70)), (inches(45),))


def test_with_the_rows_turned_what_was_along_is_across(room):
    assert turned(room, rows_run="door_far") == ((inches(15),), (inches(20), inches(70)))


def test_a_new_name_leaves_the_numbers_alone(room):
    before = draft_of(room).version
    assert turned(room, name="Den") == ((inches(20), inches(70)), (inches(15),))
    assert draft_of(fresh(room)).version == before


def test_a_page_opened_before_the_turn_is_stale_after_it(room):
    before = draft_of(room).version
    turned(room, zero_x="right")
    assert draft_of(fresh(room)).version == before + 1
