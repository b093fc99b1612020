"""The owner's way: every room of the shop at once, an approval, the shop's rules, and a new person on the crew."""

import pytest
from playwright.sync_api import expect

from projects.doors.links import invitation_path
from projects.doors.models import Invitation

pytestmark = pytest.mark.browser


@pytest.fixture
def rooms(job, den, issued, facts):
    """The den has a revision; the kitchen waits for the builder."""
    issued(den)
    facts.taped_room(job, "Kitchen", "170", "144", waits_for="the builder: beam")
    return den


def test_an_owner_looks_over_the_rooms_approves_and_takes_someone_on(shop, rooms, person, width, facts):
    owner = person(width=width).signs_in("owner@shop.example")
    owner.presses("Wall of tags")
    expect(owner.page.locator("a.tag")).to_have_count(2)
    kitchen = owner.page.get_by_role("link", name="Kitchen, stage 1 survey, in hand, waits for: the builder: beam")
    expect(kitchen).to_be_visible()
    owner.presses("waits for someone")
    expect(owner.page.locator("a.tag")).to_have_count(1)
    owner.presses("Show all rooms").presses("Table")
    expect(owner.page.locator("tbody th")).to_have_text(["Den", "Kitchen"])
    owner.page.get_by_text("Find and sort").click()
    owner.types("Room or job", "den").presses("Show rooms")
    expect(owner.page.locator("tbody th")).to_have_text(["Den"])
    owner.presses("Den").presses("Mark-out card, revision 1").presses("Den")
    with owner.leads_on():
        owner.page.locator("th a").filter(has_text="1 ·").click()
    owner.sees("Not approved yet.").presses("Approve this revision").sees("Revision 1 is approved.")
    owner.sees("Approved by Sam Owner")
    assert not owner.can_press("Approve this revision")

    owner.presses("Shop").types("Spacing limit, center to center", "5' 6\"").presses("Save rules").sees("Saved.")
    expect(owner.box("Spacing limit, center to center")).to_have_value('5\'-6"')
    owner.presses("Catalog")
    with owner.leads_on():
        owner.page.locator("th a").first.click()
    owner.presses("People")
    owner.types("Name", "Lee Ladder").types("E-mail", "lee@shop.example")
    owner.chooses("Role", "Crew").presses("Send the invitation").sees("Asked in, not here yet")
    link = invitation_path(Invitation.objects.of(shop).get())

    new = person(width=width).goes_to(link).types("New password", "a-long-first-word").presses("Come in")
    new.sees("Lee Ladder, Level & Square")
    assert not new.can_press("People")


def test_a_word_that_is_refused_says_what_is_wrong_and_keeps_the_rest(shop, person, width):
    owner = person(width=width, member=shop.people["owner"]).goes_to("/shop/people/")
    owner.types("Name", "Lee Ladder").types("E-mail", "crew@shop.example")
    owner.presses("Send the invitation", status=422).sees("They are among the people above already.")
    expect(owner.box("Name")).to_have_value("Lee Ladder")
    owner.goes_to("/shop/rules/").types("Least material between two holes", "0")
    owner.presses("Save rules", status=422).sees("A zero needs a note: who decided it, and why.")
