"""On a phone in the room: the framing from one joist, and a new card from the first joist as it really is."""

import pytest
from playwright.sync_api import expect

from layout.engine.lengths import inches
from projects.jobs.queries import room_of
from tests.factories import CeilingFactory, JoistRunFactory

pytestmark = pytest.mark.browser


@pytest.fixture
def lead(shop, person, width):
    return person(width=width, member=shop.people["crew_lead"])


def test_the_framing_is_entered_from_one_joist_and_a_duct_tapped_in(den, lead):
    lead.goes_to(f"/rooms/{den.pk}/overhead/").sees("Start with one joist").looks_over()
    lead.types("From there to the first joist", "11")
    lead.page.get_by_label("16 in", exact=True).first.check()
    lead.presses("Save what stands overhead").sees("Saved. The layout is worked out again from it.").looks_over()
    lead.page.get_by_role("link", name="Duct").first.click()
    lead.types("Its center from the left wall", "60")
    lead.types("and from the door wall", "100")
    lead.types("Size, left to right", "10")
    lead.types("Size, door to far", "24")
    lead.looks_over()
    lead.presses("Save").sees("Things in the way")
    assert room_of(den.shop, den.pk).ceiling.things.count() == 1


def test_with_no_signal_the_phone_gives_its_own_answer_and_with_it_the_card(den, issued, lead):
    ceiling = CeilingFactory(room=den, framing="found")
    JoistRunFactory(ceiling=ceiling, first=inches(200), spacing=inches(110))
    issued(den)
    lead.goes_to(f"/rooms/{den.pk}/on-site/").looks_over()
    lead.page.context.set_offline(True)
    lead.types("From there to the first joist", "199 1/2")
    expect(lead.page.locator("#no-signal")).to_contain_text("No signal")
    lead.page.context.set_offline(False)
    expect(lead.page.locator("#no-signal")).to_be_hidden()
    lead.presses("New card").sees("Print card")
