"""A room is marked out from the phone, in a basement: one mark at a time, read aloud, entered from the floor."""

import pytest

from layout.as_built.queries import marks_of
from projects.jobs.models import Room
from projects.jobs.queries import room_of
from tests.browser.phones import Phone

pytestmark = pytest.mark.browser

# What the browser was asked to say, kept on the page.
HEARD = """window.heard = [];
if (window.speechSynthesis) {
  window.speechSynthesis.speak = one => window.heard.push(one.text);
  window.speechSynthesis.cancel = () => {};
}"""


@pytest.fixture
def phone(chromium, live_server):
    made = []

    def taken(member):
        made.append(Phone(chromium, live_server.url, member))
        made[-1].context.add_init_script(HEARD)
        return made[-1]

    yield taken
    for one in made:
        one.ends()
    assert [told for one in made for told in one.complaints] == []


def here(phone):
    return phone.page.locator(".stop.here").get_attribute("id")


def test_a_row_is_marked_without_signal_with_the_keys_and_sent_later(shop, den, issued, phone):
    issued(den)
    Room.objects.of(den.shop).filter(pk=den.pk).update(stage=5)
    path = f"/field/rooms/{den.pk}/mark/"
    crew = phone(shop.people["crew"]).keeps_the_day(path).loses_signal()
    crew.goes_to(path).sees("Tape check first").sees("Both feet on the floor")
    assert here(crew) == "check"
    crew.presses("Next").sees("Zero corner").presses("Read aloud")
    crew.page.keyboard.press("ArrowRight")
    assert here(crew) == "m-A1"
    assert crew.page.evaluate("window.heard.at(-1)").startswith("A 1. Along: ")
    assert crew.page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    crew.presses("A1 is on the floor").sees("1 entry waits on this phone")
    crew.waits_for("() => document.querySelector('.stop.here').id === 'm-A2'")
    crew.page.keyboard.press("ArrowLeft")
    assert here(crew) == "m-A1"

    crew.kills_tab().opens(path).sees("A1")
    assert here(crew) == "m-A1"  # the way goes on where it was left
    crew.finds_signal().presses("Send now").sees("Nothing waits. Last sent")
    assert marks_of(den).count("floor") == 1


def test_a_mark_put_farther_off_than_may_be_moved_says_that_it_waits(shop, den, issued, phone):
    """Nobody has entered this room's framing: every move is asked."""
    issued(den)
    crew = phone(shop.people["crew"]).goes_to(f"/field/rooms/{den.pk}/mark/#m-A1")
    crew.page.get_by_text("It is somewhere else").filter(visible=True).click()
    crew.page.locator("#along-A1").fill("30")
    crew.page.locator("#reason-A1").select_option("duct")
    crew.presses("Enter it so").sees("It waits for a yes: ")
    crew.page.wait_for_timeout(1_000)  # longer than the way takes to go on by itself
    crew.sees("It waits for a yes: ")
    assert here(crew) == "m-A1"
    now = marks_of(room_of(den.shop, den.pk))
    assert now.count("floor") == 0 and len(now.waits) == 1
    assert now.waits[0].reason == "duct"
