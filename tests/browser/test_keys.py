"""Keys that jump: ? for a list, / for the search, g and a letter for pages; not while typing, nor when turned off."""

import pytest

pytestmark = pytest.mark.browser


def test_single_letters_jump_but_not_in_a_box_and_not_when_turned_off(shop, person):
    owner = person(width=1280, member=shop.people["owner"])
    owner.goes_to("/jobs/")
    page = owner.page
    page.keyboard.press("?")
    assert page.locator("#keys").is_visible()
    page.keyboard.press("?")
    assert not page.locator("#keys").is_visible()
    page.keyboard.press("/")
    assert page.evaluate("document.activeElement.id") == "search"
    page.keyboard.type("gr?/")  # words, in a box
    assert page.input_value("#search") == "gr?/" and not page.locator("#keys").is_visible()
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("g")
    page.keyboard.press("r")
    page.wait_for_url("**/rooms/**")
    page.check("#keys-off")
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("?")
    assert not page.locator("#keys").is_visible()
    owner.goes_to("/jobs/")
    page.keyboard.press("?")
    assert not page.locator("#keys").is_visible()  # kept on this device
