"""A day of the shop's people, each from their first screen on: the owner's week, the crew joining."""

import pytest

from projects.jobs.models import Room
from projects.joining.models import Joined
from projects.stages.models import Pass
from tests.browser.phones import Phone

pytestmark = pytest.mark.browser


@pytest.fixture
def roughed(shop, den, issued):
    """The den is with the field, on a revision that nobody has approved."""
    issued(den)
    Room.objects.of(shop).filter(pk=den.pk).update(stage=5)
    return den


@pytest.mark.parametrize(("width", "scheme"), [(320, "light"), (1280, "dark")])
def test_an_owner_reads_the_week_and_passes_what_is_missing_by_name(shop, roughed, person, width, scheme):
    owner = person(width=width, color_scheme=scheme).signs_in("owner@shop.example")
    assert owner.path == "/"
    with owner.leads_on():
        owner.page.locator("ol.week a").first.click()
    owner.sees("Den").goes_to(f"/rooms/{roughed.pk}/stage/?stage=6").sees("Missing")
    owner.presses("Move the room", status=422).sees("Not moved.")
    assert Room.objects.of(shop).get().stage == 5

    boxes = owner.page.get_by_label("Go on without it, because")
    missing = boxes.count()
    for each in boxes.all():
        each.fill("The inspector comes at noon")
    for each in owner.page.get_by_label("I have seen it").all():
        each.check()
    owner.presses("Move the room")
    assert Room.objects.of(shop).get().stage == 6
    assert Pass.objects.of(shop).filter(event__room=roughed).count() == missing > 0
    owner.sees("Passed over, and still open").goes_to("/passed/").sees("The inspector comes at noon")


@pytest.mark.parametrize(("width", "scheme"), [(320, "light"), (1280, "dark")])
def test_a_lead_lets_a_phone_join_plans_it_and_hands_the_job_over(
    shop, roughed, person, chromium, live_server, width, scheme
):
    lead = person(width=width, color_scheme=scheme).signs_in("crew_lead@shop.example")
    lead.goes_to(f"/jobs/{roughed.job_id}/phones/").presses("Make a code")
    code = lead.page.locator(".join-code").inner_text()

    phone = Phone(chromium, live_server.url, color_scheme=scheme)
    phone.goes_to("/join/").types("Code", code).types("Your name", "Jo Rafter").presses("Join").sees("Den")
    assert phone.page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert Joined.objects.of(shop).get().member.user.name == "Jo Rafter"

    lead.goes_to(f"/rooms/{roughed.pk}/crew/")
    with lead.leads_on():
        lead.page.get_by_role("button", name="Jo Rafter").click()
    lead.goes_to("/crew/?days=1").sees("Jo Rafter").sees("26-101 · Den")
    lead.goes_to(f"/jobs/{roughed.job_id}/handover/").sees("Where each room stands").sees("not marked:")
    phone.ends()
    assert phone.complaints == []
