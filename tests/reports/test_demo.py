"""The demo shop is loaded as a shop would enter it, once, and every page of it opens for everyone in it."""

import html
from collections import Counter

import pytest
from django.apps import apps
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from layout.models import LayoutRevision
from projects.accounts.models import Shop
from projects.catalogue.models import FixtureType
from projects.jobs.models import Job, Room
from projects.platform.permissions import Role
from reports import queries
from reports.bids.models import Bid, BidRevision
from reports.demo import scenario as demo
from reports.documents.card import laid_out
from reports.models import CardCopy
from reports.prices.models import LoggedHours
from reports.sheets import card_sheet
from reports.takeoffs.services import priced_now, takeoff_now
from reports.wiring.models import Pull
from tests.factories import OWN_APPS


@pytest.fixture(scope="module")
def loaded(django_db_setup, django_db_blocker):
    """Loaded once for this file; each test's own changes are rolled back, the demo goes at the end."""
    with django_db_blocker.unblock():
        shop = demo.load()
        yield shop
        for model in _children_first():
            model._base_manager.all().delete()


def _children_first():
    """Each table after those that point to it."""
    left = [model for model in apps.get_models() if model._meta.app_label in OWN_APPS]
    while left:
        for model in left:
            pointed = {f.related_model for other in left if other is not model for f in other._meta.concrete_fields}
            if model not in pointed:
                break
        left.remove(model)
        yield model


@pytest.fixture
def shop(db, loaded):
    return loaded


def everything():
    return {
        model._meta.label: list(model._base_manager.order_by("pk").values())
        for model in apps.get_models()
        if model._meta.app_label in OWN_APPS
    }


def test_loading_it_twice_changes_nothing(shop):
    before = everything()
    assert demo.load() == shop
    assert everything() == before
    assert Shop.objects.filter(name=shop.name).count() == 1


def test_it_has_jobs_rooms_revisions_and_printed_cards(shop):
    assert Job.objects.of(shop).count() >= 3
    assert Room.objects.of(shop).count() >= 26
    assert LayoutRevision.objects.of(shop).count() >= 20
    assert CardCopy.objects.of(shop).exists()
    assert FixtureType.objects.of(shop).exclude(cutout_verified_by="").exists()


def test_nothing_in_it_happens_in_the_future(shop):
    assert not LayoutRevision.objects.of(shop).filter(issued_at__gt=timezone.now()).exists()
    for room in Room.objects.of(shop):
        assert not room.stage_events.filter(at__gt=timezone.now()).exists()
        assert not room.measurement_sets.filter(taken_on__gt=timezone.localdate()).exists()


def test_a_layout_was_approved_before_its_room_went_on(shop):
    """Not on the day the demo is loaded: the room's page would contradict its own stage."""
    approved = LayoutRevision.objects.of(shop).exclude(approved_at=None).select_related("room")
    assert len(approved) > 5
    for revision in approved:
        assert revision.approved_at >= revision.issued_at, revision.room
        later = revision.room.stage_events.filter(went_to=4).order_by("at").first()
        assert later is None or revision.approved_at <= later.at, revision.room


def test_what_was_asked_for_a_room_is_what_stands_in_it_switch_by_switch(shop):
    differs = {}
    for room in Room.objects.of(shop):
        newest = LayoutRevision.objects.of(shop).filter(room=room).order_by("-number").first()
        asked = Counter({c.zone: c.count for c in room.counts.all() if c.fixture_type.kind == "light"})
        if newest is not None and None not in asked.values():
            stands = Counter(mark.zone for mark in newest.marks.all() if mark.kind == "light")
            if stands != asked:
                differs[room.name] = (asked, stands)
    assert differs == {}


def as_role(shop, role):
    client = Client()
    client.force_login(shop.members.filter(role=role.value).first().user)
    return client


@pytest.mark.parametrize("role", [Role.OWNER, Role.VIEWER])
def test_every_room_opens_for_who_may_most_and_who_may_least(shop, role):
    client = as_role(shop, role)
    failed = [
        room.name
        for room in Room.objects.of(shop)
        if client.get(reverse("room", args=[room.pk])).status_code != 200
    ]
    assert failed == []


PAGES = ("measurements", "build_up", "counts", "edit_room")


@pytest.mark.long
@pytest.mark.parametrize("page", PAGES)
def test_every_rooms_other_pages_open(shop, page):
    client = as_role(shop, Role.OWNER)
    for room in Room.objects.of(shop):
        assert client.get(reverse(page, args=[room.pk])).status_code == 200, room.name


@pytest.mark.parametrize("page", ["revision", "card", "schedule", "takeoff", "checklist"])
def test_every_revisions_pages_open(shop, page):
    client = as_role(shop, Role.CREW)
    for revision in LayoutRevision.objects.of(shop):
        answer = client.get(reverse(page, args=[revision.room_id, revision.number]))
        assert answer.status_code == 200, revision


@pytest.mark.parametrize("page", ["job", "edit_job", "job_schedule", "job_takeoff", "job_checklist"])
def test_every_jobs_pages_open(shop, page):
    client = as_role(shop, Role.OWNER)
    for job in Job.objects.of(shop):
        if not page.startswith("job_") or LayoutRevision.objects.of(shop).filter(room__job=job).exists():
            assert client.get(reverse(page, args=[job.pk])).status_code == 200, job


def test_the_practice_room_is_in_it_as_summed_by_hand(shop):
    """12, 75 1/4, 138 1/2; see tests/layout/test_issue_revision.py."""
    snug = Room.objects.of(shop).get(name="Snug")
    page = html.unescape(as_role(shop, Role.CREW).get(reverse("room", args=[snug.pk])).content.decode())
    assert all(number in page for number in ("75 1/4", "138 1/2", "43 5/8", "106 7/8", "59 1/4"))


def test_its_people_can_sign_in_with_the_password_that_is_printed(shop):
    person = shop.members.get(role="owner").user
    answer = Client().post(reverse("sign_in"), {"email": person.email, "password": demo.PASSWORD})
    assert answer.status_code == 302


def test_every_room_of_the_demo_has_its_card_on_one_page(loaded, db):
    """Twenty marks or fewer are one page: a crew carries one sheet a room."""
    for job in Job.objects.of(loaded):
        for one in queries.laid_rooms(job):
            sheet = card_sheet(one.revision, one.room)
            assert len(sheet.marks) <= 20
            assert laid_out(sheet).pages == 1, one.room.name


def test_its_bids_are_won_lost_and_out(shop):
    """Each job has one, and one is still being written; each page of a bid opens for the office."""
    ends = {bid.job.number: bid.outcome for bid in Bid.objects.of(shop).select_related("job")}
    assert ends == {"26-014": "open", "26-030": "won", "26-021": "open", "26-027": "lost"}
    client = Client()
    client.force_login(shop.members.get(role=Role.ESTIMATOR.value).user)
    for revision in BidRevision.objects.of(shop):
        for page in ("bid_revision", "proposal", "estimate_sheet"):
            assert client.get(reverse(page, args=[revision.pk])).status_code == 200


def test_its_prices_circuits_and_reel_are_as_a_shop_would_have_them(shop):
    """Most items priced, one plugged and one missing; zones on circuits; a reel that cable was pulled off."""
    job = Job.objects.of(shop).get(number="26-014")
    priced = priced_now(job, takeoff_now(job))
    assert list(priced.missing) == ["breaker"]
    assert [line.key for line in priced.allowances] == ["subwoofer:subwoofer_10"]
    assert all(circuit.switch_zones.exists() for circuit in job.circuits.all())
    assert Pull.objects.of(shop).count() == 3
    assert LoggedHours.objects.of(shop).exists()
