"""At a phone and at a desk: framing laid around the marks, an island's line held and put back, rows from next door."""

import re

import pytest

from layout.engine.lengths import inches
from tests.shops import WALLS, draft_room, fresh, tape_room

pytestmark = pytest.mark.browser


@pytest.fixture
def cloud(shop, job, facts):
    room = facts.taped_room(job, "Listening room", ceiling_system="cloud", **{f"gap_{w}": inches(6) for w in WALLS})
    tape_room(room, "finished", "138 1/2", "111 1/4", height="108")
    draft_room(room)
    return fresh(room)


def test_a_lead_takes_framing_and_puts_back_what_stood_there(shop, cloud, person, width):
    lead = person(width=width, member=shop.people["crew_lead"]).goes_to(f"/rooms/{cloud.pk}/")
    lead.presses("Framing to suit").sees("It misses every mark")
    lead.presses("Take this framing").sees("Taken:")
    lead.presses("Put back what stood before the last save").sees("stands again")


def test_a_lead_holds_an_islands_line_and_puts_it_back(shop, cloud, person, width):
    lead = person(width=width, member=shop.people["crew_lead"]).goes_to(f"/rooms/{cloud.pk}/")
    lead.presses("Line over a task")
    lead.presses(re.compile(r"^\s*Island"))
    lead.chooses("It runs", "left to right").types("It starts at", "30").types("and ends at", "100")
    lead.types("Its center line at", "70").presses("Show the line").sees("Where its lights belong")
    lead.presses("Hold it so").sees("Held where they are")
    lead.presses("Put back what was there").sees("Put back what was there before")


def test_a_lead_carries_rows_in_from_next_door(shop, job, facts, cloud, person, width):
    hall = facts.taped_room(job, "Landing", "150 1/2", "60")
    draft_room(hall, rows=1, speaker_gaps="", speaker_type=None)
    lead = person(width=width, member=shop.people["crew_lead"]).goes_to(f"/rooms/{cloud.pk}/next-door/")
    lead.chooses("The room next door", str(hall)).chooses("In this room the opening is in the", "far wall")
    lead.types("From the zero corner's side to the opening", "50").types("The opening is wide", "48")
    lead.chooses("Next door it is in the", "door wall").types("Next door, to the same jamb", "50")
    lead.presses("Show the rows").sees("pass the opening")
    lead.presses("Hold it so").sees("Held where they are")


def test_an_isolated_lids_boxes_are_read(shop, job, facts, person, width):
    room = facts.taped_room(job, "Drum room", ceiling_system="isolated")
    draft_room(room)
    crew = person(width=width, member=shop.people["crew"]).goes_to(f"/rooms/{room.pk}/")
    crew.presses("Holes in the lid").sees("holes through the lid").sees("nobody has looked yet")
