"""The field's way: the crew lead and the crew read a room, enter what the tape says, have cards, and see no prices."""

import re

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser

PRICES = re.compile(r"[$€£]\s?\d|\bprices?\b|\bcosts?\b", re.IGNORECASE)
PNG = b"\x89PNG\r\n\x1a\n"


@pytest.fixture
def laid(den, issued):
    return issued(den)


def test_a_crew_lead_measures_what_is_finished_and_hands_out_the_card(shop, den, laid, issued, person, width):
    lead = person(width=width).signs_in("crew_lead@shop.example").goes_to("/rooms/?view=wall")
    lead.presses(re.compile("^Den, stage 1")).presses("Readings")
    lead.page.get_by_text("More readings").click()
    lead.looks_over()
    # By Pythagoras the diagonal of 148 3/4 by 121 1/2 is 192 1/16 to the nearest sixteenth. The tape is read a foot
    # short once: Tape check speaks, and the visit is entered again.
    for diagonal, said in (
        ("15' 0 1/16\"", "16'-0 1/16\" if it was off by one foot"),
        ("16' 0 1/16\"", "four walls and both diagonals agree"),
    ):
        lead.chooses("Taped", "finished ceiling, edge to edge")
        for wall in ("along the door wall", "along the far wall"):
            lead.types(f"{wall}, left to right", "12' 4 3/4\"")
        for wall in ("along the left wall", "along the right wall"):
            lead.types(f"{wall}, door to far", "10' 1 1/2\"")
        lead.types("diagonal, door-left corner to far-right", "16' 0 1/16\"")
        lead.types("diagonal, door-right corner to far-left", diagonal)
        lead.presses("Keep readings").sees("Kept. Earlier readings stay below it.")
        expect(lead.page.locator("section.visit").first).to_contain_text(said)
        lead.page.get_by_text("More readings").click()
    lead.presses("Den").presses("Issue revision").presses("Mark-out card").sees("Nobody yet.")
    assert lead.gets("Print card").startswith(b"%PDF")
    lead.types("Who gets it", "Pat, drywall")
    assert lead.gets("Picture to send").startswith(PNG)
    lead.goes_to(lead.path)
    expect(lead.page.locator("table").last.locator("tbody tr")).to_contain_text(["Pat, drywall", "Sam Crew Lead"])

    card = f"/check/{den.revisions.get(number=2).token}/"
    anyone = person(width=width).goes_to(card)
    expect(anyone.page.get_by_role("heading", level=1)).to_have_text("Latest")
    lead.presses("Den").presses("Issue revision")
    anyone.goes_to(card).sees("Revision 3 has been issued. Stop, and ask for the new card")
    expect(anyone.page.get_by_role("heading", level=1)).to_have_text("Out of date")
    lead.goes_to(f"/rooms/{den.pk}/revisions/2/card/").sees("Out of date: revision 3 is the latest.")
    no_prices(lead, anyone, den)


def test_the_crew_reads_measures_and_prints_but_does_not_lay_out(den, laid, person, width):
    crew = person(width=width).signs_in("crew@shop.example").goes_to("/rooms/?view=wall")
    crew.presses(re.compile("^Den, stage 1"))
    for words in ("Issue revision", "Keep these numbers", "Move the room", "Copy", "New room", "People"):
        assert not crew.can_press(words), words
    crew.presses("Readings").types("along the left wall, door to far", "10' 3\"").presses("Keep readings")
    crew.sees("Kept. Earlier readings stay below it.").presses("Den").presses("Mark-out card, revision 1")
    assert crew.gets("Print card").startswith(b"%PDF")
    crew.goes_to(f"/rooms/{den.pk}/revisions/1/")
    assert not crew.can_press("Approve this revision")
    crew.goes_to("/shop/people/", status=403).sees("Your role does not include this")
    no_prices(crew, den)


def test_a_viewer_reads_and_changes_nothing(den, laid, person, width):
    viewer = person(width=width).signs_in("viewer@shop.example").goes_to("/rooms/?view=wall")
    viewer.presses(re.compile("^Den, stage 1"))
    for path in (
        f"/rooms/{den.pk}/", f"/rooms/{den.pk}/build-up/", f"/rooms/{den.pk}/counts/", f"/rooms/{den.pk}/measurements/",
        f"/rooms/{den.pk}/revisions/1/", "/shop/rules/", "/catalog/", "/jobs/", f"/jobs/{den.job_id}/",
    ):  # fmt: skip
        viewer.goes_to(path)
        posts = viewer.page.locator("main form[method=post] button:not([type=button]):visible")
        assert posts.all_inner_texts() == [], path
    viewer.goes_to("/rooms/new/", status=403).sees("Your role does not include this")
    no_prices(viewer, den)


def no_prices(*people_and_room):
    """Nothing the field sees has money on it: not on a page they were on, nor on the documents of the room."""
    *people, room = people_and_room
    for someone in people:
        for path in sorted(set(someone.addresses)):
            assert not PRICES.search(someone.context.request.get(path).text()), path
    for paper in ("schedule", "takeoff", "checklist", "card"):
        someone = people[0].goes_to(f"/rooms/{room.pk}/revisions/1/{paper}/")
        someone.sees_no(PRICES)
