"""Grid and sloped ceilings go the whole way: laid out, issued, and the same again from the record."""

import pytest

from layout.engine.lengths import inches
from layout.room_page import room_page
from layout.services import draft_of, thawed
from tests.factories import ShopFactory
from tests.shops import fresh, issue, practice_room


@pytest.fixture
def shop(db):
    return ShopFactory()


def page_of(room):
    room = fresh(room)
    return room_page(room, draft_of(room))


def lines(page):
    return {line.key: line for column in page.columns for line in column.lines}


def test_a_grid_nobody_entered_is_two_foot_tiles_by_the_border_rule(shop):
    """150 1/2: six tiles leave 3 1/4, so five, and borders of 15 1/4. 77 1/4: three leave 2 5/8, so two, and 14 5/8."""
    told = lines(page_of(practice_room(shop, ceiling_system="grid")))
    assert (told["along-tiles"].number, told["along-border"].number) == ("5", "15 1/4")
    assert (told["across-tiles"].number, told["across-border"].number) == ("2", "14 5/8")
    assert "ask where the grid really starts" in told["along-tiles"].note


def test_lights_and_speakers_of_a_grid_room_stand_in_tiles(shop):
    """Tile middles at 27 1/4, 51 1/4, 75 1/4, 99 1/4, 123 1/4: three lights in the outer and the middle one, the two
    speakers between them."""
    layout = page_of(practice_room(shop, ceiling_system="grid")).layout
    assert layout.arrangement.columns == (inches("27 1/4"), inches("75 1/4"), inches("123 1/4"))
    assert layout.arrangement.speaker_positions == (inches("51 1/4"), inches("99 1/4"))


@pytest.mark.parametrize("system", ["grid", "sloped"])
def test_it_is_issued_and_comes_out_the_same_again(shop, system):
    room = practice_room(shop, ceiling_system=system)
    revision = issue(fresh(room))
    marks = [(mark.ident, mark.along, mark.across) for mark in revision.marks.order_by("pk")]
    assert marks == [(mark.id, mark.along, mark.across) for mark in thawed(revision).arrangement.marks]


def test_a_sloped_room_without_its_slope_says_that_numbers_are_on_the_plan(shop):
    told = lines(page_of(practice_room(shop, ceiling_system="sloped")))
    assert "all numbers are plan distances" in told["slope"].note
