"""The rough-in checklist: nothing dropped, nothing assumed away, and the licensed trade decides."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.catalogue.tables import checklist
from reports.documents.checklist import CONDITIONS, ChecklistPaper, body
from reports.documents.head import Head, RoomRef
from reports.estimating.checklist import Bearing, tailored

LIST = checklist()
HEAD = Head("Shop", "26-014", "Larkspur Lane", date(2026, 11, 25), RoomRef("Den", "cellar", 3, "A41C9E"))


def bearing(known):
    return {each.item.number: each.bearing for each in tailored(LIST.items, known)}


def test_fire_rating_that_nobody_entered_is_asked_on_site_and_never_assumed_away():
    assert bearing({"lights": True})[21] is Bearing.ASK
    assert bearing({"lights": True, "fire_rated": True})[21] is Bearing.YES
    assert bearing({"lights": True, "fire_rated": False})[21] is Bearing.NO


def test_a_room_without_speakers_is_not_asked_to_tone_test_them():
    assert bearing({"speakers": False})[40] is Bearing.NO


def test_power_off_and_tested_dead_bears_on_every_room():
    assert bearing({})[3] is Bearing.YES
    assert bearing(dict.fromkeys(CONDITIONS, False))[3] is Bearing.YES


@given(st.dictionaries(st.sampled_from(sorted(CONDITIONS)), st.booleans()))
def test_no_item_is_ever_dropped_or_reordered(known):
    assert [each.item for each in tailored(LIST.items, known)] == list(LIST.items)


def test_every_condition_of_the_list_has_its_words():
    assert {condition for item in LIST.items for condition in item.applies} <= {*CONDITIONS, "all"}


@pytest.fixture
def paper():
    return body(ChecklistPaper(HEAD, LIST, {"lights": True, "speakers": False, "grid": False}))


def test_paper_carries_all_forty_six_items_with_three_boxes_and_a_source_each(paper):
    assert len(LIST.items) == 46
    assert paper.count('<span class="box">') == 3 * 46
    for item in LIST.items:
        assert item.source in paper


def test_paper_never_ticks_a_box_for_the_crew(paper):
    assert "checked" not in paper
    assert "✓" not in paper


def test_cautions_are_said_in_a_word_and_the_trade_decides(paper):
    assert paper.count(">Caution<") == sum(item.caution for item in LIST.items)
    assert "Local code and the licensed trade decide" in paper


def test_paper_says_how_many_items_bear_on_the_room(paper):
    """By hand: 40 (speakers) and 36 (grid) do not; 4, 6, 10, 11, 21 and 23 turn on what was not entered."""
    assert "46 items: 38 bear on this room, 6 need a look on site, 2 do not, as entered." in paper
    assert "For grid ceilings; not this room as entered." in paper
    assert "Answer it for fire-rated ceilings." in paper


def test_what_a_person_wrote_is_shown_and_never_run():
    wild = replace(HEAD, room=RoomRef("<script>alert(1)</script>", "", 3, "A41C9E"))
    drawn = body(ChecklistPaper(wild, LIST, {}))
    assert "<script>" not in drawn
    assert "&lt;script&gt;" in drawn
