"""Lights are put on a switch by pressing them on the plan and typing a letter, or with a box drawn round them."""

import pytest
from playwright.sync_api import expect

from layout.services import draft_of
from tests.shops import fresh

pytestmark = pytest.mark.browser


def letters_of(den):
    return {(one.row, one.number): one.zone for one in draft_of(fresh(den)).switched()}


def test_lights_pressed_on_the_plan_take_the_letter_typed(shop, den, person):
    lead = person(member=shop.people["crew_lead"]).goes_to(f"/rooms/{den.pk}/switches/")
    page, said = lead.page, lead.page.locator("#switches-said")
    for ident in ("A1", "A3"):
        at = page.locator(f"#switches-sheet [data-line=mark-{ident}] circle").first.bounding_box()
        page.mouse.click(at["x"] + at["width"] / 2, at["y"] + at["height"] / 2)
    expect(said).to_have_text("2 lights chosen.")
    page.keyboard.press("c")
    expect(said).to_have_text("2 lights on C: not kept yet.")
    whole = "one => scrollTo(0, one.getBoundingClientRect().top + scrollY - 40)"  # all of the drawing on the screen
    page.locator("#switches-sheet").evaluate(whole)
    sheet = page.locator("#switches-sheet svg").bounding_box()
    page.mouse.move(sheet["x"] + 2, sheet["y"] + 2)
    page.mouse.down()
    page.mouse.move(sheet["x"] + sheet["width"] - 4, sheet["y"] + sheet["height"] - 4, steps=4)
    page.mouse.up()
    expect(said).to_have_text("6 lights chosen.")
    page.keyboard.press("Escape")
    expect(said).to_have_text("")
    page.get_by_role("button", name="Keep these letters").click()
    lead.sees("A: 4 lights · C: 2 lights")
    assert letters_of(den) == {(1, 1): "C", (1, 3): "C"}
