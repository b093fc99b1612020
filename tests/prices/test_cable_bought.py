"""The cable a job is priced by is the cable its reel plan buys: the same pieces, the same reels. Routes nothing."""

from decimal import Decimal

import pytest
from django.urls import reverse

from layout.engine.lengths import Unit, feet
from projects.jobs.models import Job
from projects.platform.permissions import Role
from reports import job_prices
from reports.cables.gather import job_cables, reel_plans
from reports.estimating.pricing import unit_of_cable
from reports.takeoffs import showing, web
from reports.takeoffs.services import priced_now, takeoff_now
from tests.conftest import own_copy, standing
from tests.factories import ItemFactory, ItemPackFactory, PriceFactory, ReelFactory
from tests.reports.cable_site import Site

pytestmark = pytest.mark.django_db

site_standing = standing(Site)
COILS = ((60, "31.00"), (100, "52.50"), (250, "139.00"))


@pytest.fixture
def site(site_standing, db):
    """The wired room, and every kind of cable it takes sold in three lengths."""
    found = own_copy(site_standing)
    for kind in {cable.run.cable for cable in job_cables(found.room.job).cables}:
        item = ItemFactory(shop=found.shop, key=f"cable:{kind}", name=kind, unit="length", category="cable")
        for length, amount in COILS:
            pack = ItemPackFactory(item=item, pieces=None, length=feet(length))
            PriceFactory(pack=pack, amount=Decimal(amount))
    return found


def planned(job):
    """By cable: what its reel plan buys, in feet, or in meters for a metric shop."""
    unit = unit_of_cable(job.tape.unit is Unit.MM)
    return {
        f"cable:{plan.cable}": sorted((length.nm / unit.nm, count) for length, count in plan.to_buy)
        for plan in reel_plans(job_cables(job))
    }


def priced(job):
    lines = priced_now(job, takeoff_now(job)).lines
    cable = {line.key: line for line in lines if line.category == "cable"}
    assert cable and all(line.by_reels for line in cable.values())
    return {key: sorted((each.size, each.packs) for each in line.bought) for key, line in cable.items()}


@pytest.mark.parametrize("style", ["ft-in", "mm"])
def test_what_a_job_is_priced_at_is_what_its_reel_plan_buys(client, site, style):
    """Whole feet in one shop, half meters in the other."""
    type(site.shop).objects.filter(pk=site.shop.pk).update(style=style)
    job = Job.objects.of(site.shop).get(pk=site.room.job_id)
    assert priced(job) == planned(job)
    page = site.as_(client, Role.ESTIMATOR).get(reverse("job_prices", args=[job.pk])).content.decode()
    assert page.count("by the reel plan") == len(planned(job))


def test_over_so_many_rooms_cable_is_bought_by_length_and_the_page_says_so(client, site, monkeypatch):
    job = site.room.job
    whole = priced_now(job, takeoff_now(job))  # counts the room, and keeps what was counted
    monkeypatch.setattr(job_prices, "MOST_FOR_A_PAGE", 0)
    shown = site.as_(client, Role.ESTIMATOR).get(reverse("job_prices", args=[job.pk]))
    assert "more than 0 rooms: here all cable is bought by its length" in shown.content.decode()
    here = shown.context["priced"]
    assert not any(line.by_reels for line in here.lines)
    assert here.material <= whole.material, "reels cut into pieces leave ends; feet alone leave none"
    assert here.hours == whole.hours > 0
    assert here.missing == whole.missing
    monkeypatch.setattr(web, "MOST_FOR_A_PAGE", 0)
    labor = client.get(reverse("takeoff_labor", args=[job.pk])).context["table"]
    assert labor == showing.labor(whole)


def test_a_reel_that_is_opened_spares_a_purchase_and_leaves_the_price_as_it_is(site):
    """The shop paid for it and will again: the plan of the day takes it, the job's price counts new reels."""
    job = site.room.job
    before = priced(job)
    for kind in before:
        ReelFactory(shop=site.shop, cable=kind.removeprefix("cable:"), name=kind, full=feet(1000), left=feet(1000))
    assert priced(job) == before
    assert not any(planned(job).values())
