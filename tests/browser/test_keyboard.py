"""Without a mouse: past the head of the page, along the wall of tags, between the sums and the plan."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser
FOCUSED = "document.activeElement.closest('%s') !== null"


def tabs_to(page, selector, most=60):
    for _tab in range(most):
        page.keyboard.press("Tab")
        if page.evaluate(FOCUSED % selector):
            return
    raise AssertionError(f"{most} tabs do not reach {selector}")


def test_the_first_tab_skips_to_the_page_and_enter_opens_a_room_s_tag(shop, den, person, width):
    lead = person(width=width, member=shop.people["crew_lead"]).goes_to("/rooms/?view=wall")
    lead.page.keyboard.press("Tab")
    skip = lead.page.get_by_role("link", name="Skip to the page")
    expect(skip).to_be_focused()
    expect(skip).to_be_in_viewport()
    lead.page.keyboard.press("Enter")
    expect(lead.page.locator("main")).to_be_focused()
    tabs_to(lead.page, "a.tag")
    expect(lead.page.locator("#readout")).to_contain_text("Den")
    with lead.leads_on():
        lead.page.keyboard.press("Enter")
    assert lead.path == f"/rooms/{den.pk}/"


def test_a_line_of_the_sum_and_its_dimension_on_the_plan_light_together(shop, den, person, width):
    """Off the wall, first, is the first of the running numbers on the plan: both start at the zero corner."""
    lead = person(width=width, member=shop.people["crew_lead"]).goes_to(f"/rooms/{den.pk}/")
    setback = lead.page.locator('#sum-results [data-line="along-setback"]')
    first = lead.page.locator('#plan svg [data-line="along-1"]')
    lit = lead.page.locator("#plan svg .lit")
    tabs_to(lead.page, '#sum-results [data-line="along-setback"]')
    expect(setback).to_contain_class("lit")
    expect(first).to_contain_class("lit")
    expect(lit).to_have_count(1)

    lead.page.locator("main").focus()
    expect(lead.page.locator(".lit")).to_have_count(0)
    tabs_to(lead.page, '#plan svg [data-line="along-1"]')
    expect(setback).to_contain_class("lit")
    expect(lead.page.locator('#sum-results [data-line="along-1"]')).to_contain_class("lit")
    lead.page.locator('#sum-results [data-line="along-proof"]').hover()
    expect(lead.page.locator('#plan svg [data-line="along-last"]')).to_contain_class("lit")
    expect(lit).to_have_count(1)


def test_what_has_the_focus_is_seen_to_have_it(shop, den, person):
    lead = person(member=shop.people["crew_lead"]).goes_to(f"/rooms/{den.pk}/")
    for _tab in range(40):
        lead.page.keyboard.press("Tab")
        drawn = lead.page.evaluate(
            """() => { const one = document.activeElement, style = getComputedStyle(one);
            return one === document.body || style.outlineStyle !== 'none' || one.matches('svg *'); }"""
        )
        assert drawn, lead.page.evaluate("document.activeElement.outerHTML.slice(0, 200)")
