"""The sum column says aloud what a person would say: framing, what each wall takes, what is left, where marks stand.

The room's numbers are summed by hand in test_issue_revision.py; here is how they are told.
"""

import pytest

from layout.engine.lengths import inches, mm
from layout.room_page import room_page
from layout.services import draft_of
from projects.jobs.models import Room
from projects.jobs.services import record_measurements, set_counts
from tests.factories import DAY, JobFactory, ShopFactory
from tests.shops import build_room, draft_room, fresh, practice_room, tape_room


@pytest.fixture
def shop(db):
    return ShopFactory()


def page_of(room):
    room = fresh(room)
    return room_page(room, draft_of(room))


def lines(page):
    return {line.key: line for column in page.columns for line in column.lines}


def numbers(page, *keys):
    told = lines(page)
    return [told[key].number for key in keys]


def test_each_line_is_one_number_and_what_it_does_to_the_next(shop):
    """166 - 2 - 6 - 2 - 6 = 150; the cloud measures 150 1/2, 1/2 more than the sum."""
    page = page_of(practice_room(shop))
    keys = ["along-framing", "along-left", "along-left-gap", "along-right", "along-right-gap", "along-sum"]
    assert numbers(page, *keys) == ["166", "2", "6", "2", "6", "150"]
    assert [lines(page)[key].sign for key in keys] == ["", "−", "−", "−", "−", "="]
    assert numbers(page, "along-taped", "along-difference") == ["150 1/2", "1/2"]


def test_across_the_same(shop):
    page = page_of(practice_room(shop))
    assert numbers(page, "across-framing", "across-sum", "across-taped", "across-difference") == [
        "93", "77", "77 1/4", "1/4",
    ]  # fmt: skip


def test_which_build_up_a_wall_has_is_spelled_out(shop):
    assert lines(page_of(practice_room(shop)))["along-left"].note == "furring 2"


def test_lights_in_a_row_by_hand(shop):
    """126 1/2 between the outer lights, two gaps of 63 1/4, the speaker 31 5/8 from its nearest light."""
    page = page_of(practice_room(shop))
    assert numbers(page, "lights-per-row", "along-setback", "along-last", "along-outer", "along-gap") == [
        "3", "12", "12", "126 1/2", "63 1/4",
    ]  # fmt: skip
    assert numbers(page, "along-speaker") == ["31 5/8"]
    assert lines(page)["along-gap"].tone == "ok"


def test_rows_against_an_even_split(shop):
    """77 1/4 / 3 = 25 3/4; rows at 18 are 7 3/4 nearer the wall."""
    page = page_of(practice_room(shop))
    assert numbers(page, "across-outer", "across-even") == ["41 1/4", "25 3/4"]
    assert "7 3/4" in lines(page)["across-even"].note


def test_last_to_wall_adds_up_with_the_last_mark(shop):
    page = page_of(practice_room(shop))
    assert numbers(page, "along-5", "along-proof") == ["138 1/2", "12"]
    assert numbers(page, "across-2", "across-proof") == ["59 1/4", "18"]


def test_a_gap_over_the_limit_says_so(shop):
    room = practice_room(shop)
    room.draft.spacing_limit = inches(60)
    room.draft.save()
    page = page_of(room)
    assert lines(page)["along-gap"].tone == "bad"
    assert any('63 1/4"' in finding and '3 1/4" over' in finding for finding in page.findings)


def test_where_the_difference_lies_is_asked_until_it_is_said(shop):
    told = lines(page_of(practice_room(shop)))["along-difference"]
    assert told.tone == "warn" and told.ask
    Room.objects.of(shop).update(held_left_right="left")
    assert lines(page_of(Room.objects.of(shop).get()))["along-difference"].tone == ""


def test_the_crews_own_word_for_a_wall_is_used(shop):
    room = practice_room(shop, left_wall="window wall")
    assert "window wall" in lines(page_of(room))["along-left"].what


def test_what_was_never_taped_is_named(shop):
    notes = " ".join(page_of(practice_room(shop)).notes)
    assert "Not squared" in notes and "Framing not checked" in notes and "Height not taped" in notes


def test_a_taped_diagonal_or_a_three_four_five_squares_the_room(shop):
    for taped in ({"d1": "190 1/4", "d2": "190 1/4"}, {"leg_a": "36", "leg_b": "48", "leg_c": "60"}):
        room = practice_room(shop)
        tape_room(room, "framing", "166", "93", **taped)
        assert "Not squared" not in " ".join(page_of(room).notes)


def test_fewer_than_asked_for_is_said(shop):
    room = practice_room(shop)
    set_counts(room, [(room.draft.light_type, "A", 8), (room.draft.speaker_type, "", 4)])
    notes = " ".join(page_of(room).notes)
    assert "8 lights are asked for, 6 are laid out." in notes
    assert "speakers are asked for" not in notes


def test_shorter_somewhere_than_where_it_was_centered_is_said(shop):
    """The door wall reads 150 1/2, the far wall 150: 1/2 in less to clear."""
    room = practice_room(shop)
    tape_room(room, "finished", "150 1/2", "77 1/4", far="150")
    assert any('150"' in note and '1/2"' in note and "shortest" in note for note in page_of(room).notes)


@pytest.mark.parametrize(("framing", "says"), [(None, "was not taped"), (("16", "93"), "Nothing is left")])
def test_what_can_not_be_laid_out_says_why_instead(shop, framing, says):
    room = build_room(JobFactory(shop=shop), framing=framing, finished=None)
    draft_room(room)
    page = page_of(room)
    assert page.layout is None and says in page.refused
    assert page.columns == ()


def test_in_a_metric_shop_all_is_millimeters(shop):
    """4216 - 2 x 200 = 3816; ends 300: 300, 1908, 3516."""
    shop = ShopFactory(style="mm", fraction=1)
    room = build_room(JobFactory(shop=shop), framing=None, finished=None, furring=None, gap="0")
    for wall in ("left", "right"):
        room.layers.create(surface=wall, position=1, name="furring", thickness=mm(200))
    readings = [("door", 1, mm(4216), None), ("left", 1, mm(2400), None)]
    record_measurements(room, readings, kind="framing", taken_on=DAY, taken_by="R.")
    draft_room(room, end_setback=mm(300), row_setback=mm(450), spacing_limit=mm(1800), speaker_gaps="")
    page = page_of(room)
    assert numbers(page, "along-framing", "along-sum", "along-1", "along-2", "along-3") == [
        "4216", "3816", "300", "1908", "3516",
    ]  # fmt: skip
