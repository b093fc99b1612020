"""The Enter key in a box: it keeps what was typed, and never does what nobody asked for."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser


def test_enter_in_a_sum_keeps_the_numbers_and_issues_no_revision(shop, den, person):
    lead = person(member=shop.people["crew_lead"]).goes_to(f"/rooms/{den.pk}/")
    lead.types("off the wall, first (setback)", "2' 6\"")
    with lead.leads_on():
        lead.page.keyboard.press("Enter")
    lead.sees("Kept. Issue a revision when it is to be printed.")
    assert not den.revisions.exists()
    expect(lead.box("off the wall, first (setback)")).to_have_value("2'-6\"")


def test_enter_chooses_neither_of_two_readings_and_a_corrected_length_is_the_one_read(shop, person):
    lead = person(member=shop.people["crew_lead"], scripts=False).goes_to("/rooms/new/")
    lead.types("Door to far wall", "10'").types("Left to right", "12.6").presses("Lay out", status=422)
    for text, status in (("12.6", 422), ("12' 8\"", 200)):
        lead.types("Left to right", text)
        with lead.leads_on(status):
            lead.page.keyboard.press("Enter")
    lead.sees("12'-8\"")
