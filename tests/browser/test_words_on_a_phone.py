"""The phone's pages in a language a third longer than English: nothing runs off the side of a small screen."""

import pytest

from tests.field.test_words_of_the_phone import BEFORE_SIGN_IN, Site, addresses, path_of
from tests.pseudo import OPEN, SPANISH, spoken

pytestmark = pytest.mark.browser
SMALL = 320  # CSS pixels: WCAG 2.2, 1.4.10

WIDER = """() => [document.documentElement.scrollWidth - innerWidth, [...document.querySelectorAll('body *')]
  .filter(one => one.getBoundingClientRect().right > innerWidth + 0.5 && !one.closest('.sheet, .scroll'))
  .slice(-2).map(one => one.outerHTML.slice(0, 160))]"""


def too_wide(page, path):
    page.goto(path)
    assert OPEN in page.inner_text("body"), path
    over, what = page.evaluate(WIDER)
    return f"{path} is {over} px too wide: {what}" if over > 0 else ""


def test_no_page_of_the_phone_scrolls_sideways_in_longer_words(person, transactional_db, monkeypatch):
    site = Site()
    spoken(monkeypatch)
    lead = person(width=SMALL, member=site.lead, locale=SPANISH)
    assert [said for path in addresses(site) if (said := too_wide(lead.page, path))] == []
    anyone = person(width=SMALL, locale=SPANISH)
    assert [said for name in BEFORE_SIGN_IN if (said := too_wide(anyone.page, path_of(name)))] == []
