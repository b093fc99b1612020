"""Moves worked out on site: in whole numbers, the same that the layout's own ways out give."""

import json
from dataclasses import replace

import pytest

from layout.engine.lengths import Distance, inches
from layout.engine.overhead.stand import Direction
from layout.engine.room import lay_out
from layout.engine.ways.on_site import PARTS, FinerThanATick, Found, Joists, Within, on_site, parts, site_of
from layout.engine.ways.out import ways_out
from layout.engine.ways.rules import WayKind
from tests.engine.on_site_cases import COUNT, FILE, cases
from tests.engine.ways_rooms import OPEN, WORKED, duct, joists, under

WITHIN = Within(pair=128, end=384, slide=192)
SIXTEENTH = PARTS


def on_a_phone(room, first="10", *, found=None, framing=True):
    layout = lay_out(replace(room, overhead=under()))
    measured = Joists(16 * 16 * PARTS, 24 * PARTS, parts(inches(first), room.unit)) if framing else None
    return on_site(site_of(layout, Direction.ALONG, inches("1/2"), WITHIN, measured, found))


def test_the_joist_case_on_a_phone():
    """26 + 4 7/16 = 30 7/16, 1 15/16 = 31 sixteenths in; ends at 21 9/16, 6 15/16 = 111 sixteenths nearer the wall."""
    answer = on_a_phone(WORKED)
    assert not answer.clear
    assert answer.pair.moves == (31, 0)
    assert answer.equal.move == -111
    assert answer.equal.lines[:2] == (345 * SIXTEENTH, 1331 * SIXTEENTH)  # 21 9/16 and 83 3/16
    assert answer.slide is None


def test_joists_where_the_plan_has_them_ask_for_nothing():
    assert on_a_phone(WORKED, "4").clear == (not lay_out(replace(WORKED, overhead=under(joists("4")))).conflicts)


@pytest.mark.parametrize("first", ["1", "3 1/2", "5 1/16", "8", "9 3/4", "12", "15 1/2"])
def test_the_phone_moves_what_the_layout_would(first):
    room = replace(WORKED, overhead=under(joists(first)))
    ways = {way.kind: way for way in ways_out(room).ways}
    answer = on_a_phone(WORKED, first)
    if answer.pair is not None and WayKind.PAIRS in ways:
        theirs = [parts(at, room.unit) for at in ways[WayKind.PAIRS].layout.arrangement.columns]
        assert list(answer.pair.lines) == theirs
    if answer.equal is not None and WayKind.RESPACE in ways:
        assert answer.equal.lines[0] == parts(ways[WayKind.RESPACE].change["end_setback"], room.unit)


def test_a_duct_found_slides_the_rows():
    """It reaches to 49 on the far side; a row at 30 goes down to 27 13/16 or the rows up; 2 3/16 = 35 sixteenths."""
    found = Found(*(part * 16 * PARTS for part in (104, 124, 33, 47)), keep=(51 + 32) * PARTS)
    answer = on_a_phone(replace(OPEN, lights_per_row=5), found=found, framing=False)
    assert answer.slide.move == -35
    way = ways_out(replace(OPEN, lights_per_row=5, overhead=under(things=(duct("114", "40"),)))).ways[0]
    assert way.moves[0].by == -inches("2 3/16")


def test_joists_a_fifth_of_eight_feet_apart_are_whole_numbers():
    assert parts(inches("19.2"), OPEN.unit) == 307_20


def test_what_a_phone_cannot_hold_is_refused():
    with pytest.raises(FinerThanATick):
        parts(Distance(inches(1).nm / 3), OPEN.unit)


def test_the_cases_a_phone_is_held_to_are_the_engines_own():
    """Write them anew with `python -m tests.engine.on_site_cases` when the engine's answers change on purpose."""
    kept = json.loads(FILE.read_text())
    assert len(kept) == COUNT
    assert kept == cases()


def test_the_cases_try_every_kind_of_answer():
    answers = [case["answer"] for case in json.loads(FILE.read_text())]
    for kind in ("pair", "equal", "slide"):
        assert sum(answer[kind] is not None for answer in answers) >= 15, kind
        assert sum(answer[kind] is None for answer in answers) >= 15, kind
    assert sum(answer["clear"] for answer in answers) >= 10
