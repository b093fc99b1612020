"""The shop's main tasks without a mouse: Tab, Enter, Space, arrows and letters."""

import pytest
from django.utils import timezone

from projects.crews.models import CrewDay
from projects.jobs.models import Room
from reports.inspections.models import Visit

pytestmark = pytest.mark.browser

SCREENS = [pytest.param(320, "dark", id="phone in the dark")]
HAS_FOCUS = "one => one === document.activeElement"


class Keys:
    """Someone who has a keyboard and nothing else. Every page they come to is looked over."""

    def __init__(self, someone):
        self.someone, self.page, self.keyboard = someone, someone.page, someone.page.keyboard

    def goes_to(self, path):
        self.someone.goes_to(path)
        return self

    def comes_to(self, one, most=400):
        one.wait_for(state="attached")
        for _tab in range(most):
            if one.evaluate(HAS_FOCUS):
                return self
            self.keyboard.press("Tab")
        raise AssertionError(f"{self.someone.path}: {most} tabs do not come to {one}")

    def types(self, label, text):
        self.comes_to(self.someone.box(label))
        self.keyboard.press("ControlOrMeta+A")
        self.keyboard.type(text)
        return self

    def chooses(self, label, value):
        """With the arrows, from the first choice on."""
        box = self.someone.box(label)
        self.comes_to(box)
        self.keyboard.press("Home")
        for _choice in range(40):
            if box.input_value() == value:
                return self
            self.keyboard.press("ArrowDown")
        raise AssertionError(f"{self.someone.path}: {label} has no {value}")

    def ticks(self, one):
        self.comes_to(one)
        self.keyboard.press("Space")
        return self

    def opens(self, words):
        """What is folded away under these words, if it is."""
        fold = self.page.locator("details", has=self.page.locator("summary", has_text=words)).first
        if not fold.evaluate("one => one.open"):
            self.comes_to(fold.locator("summary").first)
            self.keyboard.press("Enter")
        return self

    def presses(self, words, one=None):
        self.comes_to(one or self.someone.pressable(words))
        with self.someone.leads_on():
            self.keyboard.press("Enter")
        return self

    def sees(self, words):
        self.someone.sees(words)
        return self


@pytest.fixture
def by_keys(shop, person):
    return lambda role, width, scheme: Keys(person(width=width, member=shop.people[role], color_scheme=scheme))


@pytest.mark.parametrize(("width", "scheme"), SCREENS)
def test_a_visit_is_recorded_a_person_planned_a_room_found_and_a_delete_taken_back(shop, den, by_keys, width, scheme):
    Room.objects.of(shop).filter(pk=den.pk).update(stage=6)
    owner = by_keys("owner", width, scheme).goes_to(f"/jobs/{den.job_id}/inspections/new/")
    owner.types("Inspector's name", "P. Trussell").chooses("Result", "pass").presses("Record the visit")
    assert Visit.objects.of(shop).get().inspector == "P. Trussell"

    owner.goes_to(f"/rooms/{den.pk}/crew/").presses("", owner.page.get_by_role("button", name="Sam Crew ").last)
    day = CrewDay.objects.of(shop).get()
    assert (day.room_id, day.on) == (den.pk, timezone.localdate())

    owner.goes_to("/jobs/").keyboard.press("/")
    owner.keyboard.type("den")
    with owner.someone.leads_on():
        owner.keyboard.press("Enter")
    owner.presses("Den")
    assert owner.someone.path == f"/rooms/{den.pk}/"

    owner.goes_to(f"/rooms/{den.pk}/trash/").presses("Put it in the trash")
    assert not Room.objects.of(shop).exists()
    owner.presses("Undo")
    assert Room.objects.of(shop).get() == den
