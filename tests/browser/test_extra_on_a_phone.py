"""On a phone in the room: an extra written down and signed with a finger; in the office it becomes a change order."""

import pytest

from projects.work.models import Work
from projects.work.running import do_work
from reports.changes.models import ChangeOrder, FieldExtra
from tests.factories import JobRatesFactory, WorkFactory

pytestmark = pytest.mark.browser


def draws(someone):
    canvas = someone.page.get_by_role("img", name="Sign here with a finger")
    canvas.scroll_into_view_if_needed()
    at = canvas.bounding_box()
    someone.page.mouse.move(at["x"] + 20, at["y"] + 20)
    someone.page.mouse.down()
    someone.page.mouse.move(at["x"] + 90, at["y"] + 50, steps=4)
    someone.page.mouse.up()


def test_an_extra_is_written_signed_and_sent_as_a_change_order(shop, den, issued, person):
    JobRatesFactory(job=den.job)
    issued(den)
    crew = person(width=320, member=shop.people["crew"])
    crew.goes_to(f"/rooms/{den.pk}/").presses("Field extra")
    crew.types("What was done or asked for", "Move the switch box to the other side of the door")
    crew.types("Hours", "1.5").types("Who asked for it", "Jo Park").types("Name of who signs", "Jo Park")
    draws(crew)
    crew.presses("Keep it").sees("In no change order yet")
    extra = FieldExtra.objects.of(shop).get()
    assert extra.ink.startswith("M") and extra.signed_name == "Jo Park"
    crew.presses("Field extras").sees("open for")

    owner = person(member=shop.people["owner"])
    owner.goes_to("/rooms/").sees("1 field extra").goes_to(f"/extras/{extra.pk}/")
    owner.presses("Make a change order of it").sees("Sum of this change order")
    owner.presses("Words and days").types("Days added", "1").presses("Keep").sees("Sum of this change order")
    owner.presses("Send").sees("Paper to sign")
    owner.types("Name of who signs", "Jo Park").presses("It is signed").sees("Signed.")
    assert ChangeOrder.objects.of(shop).get().state == "approved"
    owner.goes_to(f"/jobs/{den.job_id}/changes/").sees("1 change order signed")
    for page in ("new", "terms"):
        owner.goes_to(f"/jobs/{den.job_id}/changes/{page}/")
    owner.goes_to(f"/rooms/{den.pk}/change/").goes_to("/changes/")


def test_long_work_is_watched_and_cancelled_on_a_phone(shop, person):
    work = WorkFactory(shop=shop, total=40, done=3)
    lead = person(width=320, member=shop.people["crew_lead"])
    lead.goes_to("/work/").presses(work.title).sees("3 of 40").presses("Cancel").sees("cancelled")
    lead.presses("Resume").sees("waiting")
    do_work(work.pk, Work.objects.of(shop).get(pk=work.pk).task)
    lead.sees("done")


def test_before_a_light_moves_the_phone_says_what_it_comes_to(shop, den, issued, person):
    JobRatesFactory(job=den.job)
    issued(den)
    estimator = person(width=320, member=shop.people["estimator"])
    estimator.goes_to(f"/rooms/{den.pk}/").presses("Move a light")
    estimator.page.get_by_role("checkbox").first.check()
    estimator.presses("What does it come to?").sees("Days added")
    estimator.types("Where to, and why", "14 in toward the sink").types("Name of who signs", "Jo Park")
    draws(estimator)
    estimator.presses("Sign it, then move").sees("Now the lights may move")
