"""What has to hold over several records holds when two people act in the same moment, on records of their own each.

Through the services, which pages and API both call: two processes meet at a barrier before every race.
"""

from decimal import Decimal

import pytest
from django.utils import timezone

from projects.accounts.models import Membership
from projects.accounts.services import LastOwner, change_member
from projects.jobs.models import Job
from projects.platform.tenancy import StaleVersion
from reports.bids import services as bids
from reports.bids.contents import draft_contents
from reports.bids.ground import base_for
from reports.bids.models import Bid, BidRevision, ClientLink
from reports.bids.queries import revision_of
from reports.estimating.kept_text import canonical, digest_of
from tests.factories import JobFactory, MemberFactory
from tests.faults.processes_at_once import at_once

pytestmark = pytest.mark.django_db(transaction=True)
FEW, MANY = 15, 1700  # races of each of the three kinds; three times MANY are over 5,000


def owners_race(place, barrier, shop, people, races):
    """Each of two owners makes the other one a lead. How often the shop was left without an owner, and how it ended."""
    violated, ended = 0, []
    for _ in range(races):
        other = Membership.objects.get(pk=people[1 - place])
        barrier.wait()
        try:
            change_member(shop, other.pk, other.version, {"role": "crew_lead"})
            ended.append("done")
        except (LastOwner, StaleVersion) as refused:
            ended.append(type(refused).__name__)
        barrier.wait()
        if place == 0:
            owners = Membership.objects.filter(pk__in=people, role="owner")
            violated += owners.count() != 1
            Membership.objects.filter(pk__in=people).update(role="owner")
        barrier.wait()
    return violated, ended


def a_shop_keeps_an_owner(races):
    first = MemberFactory(role="owner")
    second = MemberFactory(role="owner", shop=first.shop)
    told = at_once(2, owners_race, first.shop, (first.pk, second.pk), races)
    assert [violated for violated, _ in told] == [0, 0]
    for one, other in zip(told[0][1], told[1][1], strict=True):
        assert sorted((one, other)) == ["LastOwner", "done"]


def accept_race(place, barrier, shop, pk, races):
    """Two put their names under one bid. Races after which the two were not told the same name."""
    names, today = [], timezone.localdate()
    rows = BidRevision.objects.of(shop).filter(pk=pk)
    for n in range(races):
        revision = revision_of(shop, pk)
        barrier.wait()
        signed = bids.accept(revision, revision.digest, name=f"{place} {n}", on=today, today=today)
        names.append(signed.accepted_name)
        barrier.wait()
        if place == 0:
            assert rows.get().accepted_name == names[-1]
            assert Bid.objects.of(shop).get().version == 2 + n + 1, "won once"
            rows.update(state="sent", accepted_name="", accepted_on=None, accepted_at=None)
        barrier.wait()
    return names


def sent_bid():
    job = JobFactory()
    by = MemberFactory(shop=job.shop)
    draft = bids.open_bid(job, by=by)
    bids.add_line(draft, "work", words="Lights", material=Decimal(100))
    draft = revision_of(job.shop, draft.pk)
    seen = digest_of(canonical(draft_contents(draft, list(draft.lines.all()), base_for(draft))))
    bids.send(draft, seen, by=by, on=timezone.localdate())
    assert ClientLink.objects.of(job.shop).count() == 1
    return job.shop, draft.pk


def a_bid_is_accepted_once(races):
    shop, pk = sent_bid()
    first, second = at_once(2, accept_race, shop, pk, races)
    assert first == second, "both are told whose name stands"


def number_race(place, barrier, shop, jobs, races):
    """Two start a bid of the same job in the same moment, neither gives it a number."""
    numbers = []
    for n in range(races):
        job = Job.objects.of(shop).get(pk=jobs[n])
        barrier.wait()
        numbers.append(bids.open_bid(job, by=None).bid.number)
    return numbers


def numbers_are_each_claimed_once(races):
    first = JobFactory()
    jobs = [first.pk, *(JobFactory(shop=first.shop).pk for _ in range(races - 1))]
    told = at_once(2, number_race, first.shop, jobs, races)
    numbers = [number for each in told for number in each]
    assert len(set(numbers)) == len(numbers) == 2 * races
    assert sorted(Bid.objects.of(first.shop).values_list("number", flat=True)) == sorted(numbers)


RACES = [a_shop_keeps_an_owner, a_bid_is_accepted_once, numbers_are_each_claimed_once]


@pytest.mark.parametrize("race", RACES)
def test_two_at_once(race):
    race(FEW)


@pytest.mark.long
@pytest.mark.parametrize("race", RACES)
def test_two_at_once_thousands_of_times(race):
    race(MANY)
