"""A phone that runs no scripts, or lost them on the way, still leads from the tape to the card."""

import pytest

pytestmark = pytest.mark.browser


def test_a_room_is_laid_out_kept_issued_and_carded_without_scripts(shop, person, facts):
    lead = person(width=facts.phone, scripts=False).signs_in("crew_lead@shop.example")
    lead.presses("New room").types("Left to right", "12' 6 1/2\"").types("Door to far wall", "10' 3 1/4\"")
    lead.presses("Lay out").types("off the wall, first (setback)", "2' 6\"").presses("Keep these numbers")
    lead.sees("Kept. Issue a revision when it is to be printed.")
    assert lead.box("off the wall, first (setback)").input_value() == "2'-6\""
    assert not lead.page.get_by_role("button", name="Undo").is_visible()
    lead.presses("Issue revision").sees("Revision 1 is issued.").presses("Mark-out card")
    assert lead.gets("Print card").startswith(b"%PDF")
