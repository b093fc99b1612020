"""What an estimator does with a job's takeoff on its pages: looks, keeps, compares, changes a rule, takes it away."""

from html import unescape

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from layout.models import Draft
from projects.jobs import services as jobs
from projects.jobs.models import Room
from projects.platform.permissions import Role
from reports.estimating.takeoff import Rounding
from reports.takeoffs import web
from reports.takeoffs.models import RulesVersion, Takeoff
from reports.takeoffs.rules import rules_of
from tests.factories import FixtureTypeFactory, JobFactory, RoomFactory, ShopFactory
from tests.shops import forms_of, issue, people_of, practice_room, sign_in

pytestmark = pytest.mark.django_db
VIEWS = ("job_takeoff", "takeoff_matrix", "purchase_list", "takeoff_labor", "kept_takeoffs", "takeoff_difference")


@pytest.fixture
def people():
    return people_of(ShopFactory())


@pytest.fixture
def job(people):
    """The practice room laid out, and a den of four lights that nobody has measured."""
    job = JobFactory(shop=people[Role.OWNER].shop)
    issue(practice_room(job.shop, job=job))
    den = RoomFactory(job=job, name="Den")
    jobs.set_counts(den, [(FixtureTypeFactory(shop=job.shop), "", 4)])
    return job


@pytest.fixture
def estimator(client, people):
    return sign_in(client, people[Role.ESTIMATOR])


def said(answer):
    return unescape(answer.content.decode())


def form_with(page, box):
    return next(filled for _action, filled in forms_of(page) if box in filled)


def test_every_way_to_look_at_a_takeoff_answers_and_says_which_room_is_only_counted(estimator, job):
    for name in VIEWS:
        assert estimator.get(reverse(name, args=[job.pk])).status_code == 200, name
    page = said(estimator.get(reverse("job_takeoff", args=[job.pk])))
    assert "Counted and not laid out: Den" in page
    assert "with counts" in page
    assert "counted, not laid out" in page
    matrix = said(estimator.get(reverse("takeoff_matrix", args=[job.pk])))
    assert matrix.index("Snug") < matrix.index("Den")
    assert "With rooms that are counted and not laid out: Den" in said(
        estimator.get(reverse("purchase_list", args=[job.pk]))
    )


def test_a_takeoff_is_kept_and_what_changed_since_is_told_mark_by_mark(estimator, job):
    page = estimator.get(reverse("kept_takeoffs", args=[job.pk]))
    answer = estimator.post(
        reverse("kept_takeoffs", args=[job.pk]), form_with(page, "label") | {"label": "For the bid"}
    )
    again = estimator.post(reverse("kept_takeoffs", args=[job.pk]), form_with(page, "label") | {"label": "For the bid"})
    assert again.url == answer.url, "pressed twice, it is kept once"
    kept = Takeoff.objects.of(job.shop).get()
    assert answer.url == reverse("kept_takeoff", args=[job.pk, kept.number])
    assert "For the bid" in said(estimator.get(answer.url))
    snug = Room.objects.of(job.shop).get(name="Snug")
    Draft.objects.of(job.shop).filter(room=snug).update(end_setback=inches(14))
    issue(snug)
    told = said(estimator.get(reverse("takeoff_difference", args=[job.pk]), {"before": "1", "after": "now"}))
    assert "1 room changed." in told
    assert '2" right' in told
    assert "laid out, rev 1 → laid out, rev 2" in told


@pytest.mark.parametrize("asked", ["9", "x", "²", "1e3", "99999999999"])
def test_a_takeoff_that_was_never_kept_can_not_be_compared(estimator, job, asked):
    told = said(estimator.get(reverse("takeoff_difference", args=[job.pk]), {"before": asked}))
    assert "One of these takeoffs isn't there." in told


def test_a_rule_is_changed_with_a_reason_kept_as_a_version_and_put_back(estimator, job):
    address = reverse("takeoff_rules")
    form = form_with(estimator.get(address), "why")
    assert form["item_wire_connector_light"] == "3"
    typed = form | {"item_wire_connector_light": "4", "rounding": "room", "wire_rack_loop": "10 ft", "why": ""}
    refused = estimator.post(address, typed)
    assert refused.status_code == 422
    assert form_with(refused, "why")["item_wire_connector_light"] == "4"
    assert estimator.post(address, typed | {"why": "Our boxes take four."}).status_code == 302
    rules = rules_of(job.shop)
    assert rules.items["wire_connector_light"].quantity == 4
    assert rules.items["wire_connector_light"].source == "the shop's own"
    assert rules.items["housing"].source != "the shop's own"
    assert rules.wire["rack_loop"].length == inches(120)
    assert Rounding(rules.rounding) is Rounding.ROOM
    version = RulesVersion.objects.of(job.shop).get()
    assert (version.number, version.why) == (1, "Our boxes take four.")
    estimator.post(reverse("put_back_rules", args=[0]), {"seen": "1"})
    assert rules_of(job.shop).items["wire_connector_light"].quantity == 3
    estimator.post(reverse("put_back_rules", args=[version.pk]), {"seen": "2"})
    assert rules_of(job.shop).items["wire_connector_light"].quantity == 4
    assert "Put back version 1" in said(estimator.get(reverse("rules_versions")))


def test_of_two_who_save_the_rules_the_second_sees_both_versions(estimator, job):
    address = reverse("takeoff_rules")
    form = form_with(estimator.get(address), "why")
    estimator.post(address, form | {"why": "First.", "item_housing": "2"})
    second = estimator.post(address, form | {"why": "Second.", "item_trim": "2"})
    assert second.status_code == 409
    assert RulesVersion.objects.of(job.shop).count() == 1


@pytest.mark.parametrize("typed", ["-1", "nan", "1e9", "1/0", "x", "99999", "inf", ""])
def test_a_quantity_that_is_none_is_refused_beside_its_box(estimator, job, typed):
    address = reverse("takeoff_rules")
    form = form_with(estimator.get(address), "why")
    refused = estimator.post(address, form | {"why": "x", "item_housing": typed})
    assert refused.status_code == 422
    assert "item_housing" in refused.context["form"].errors
    assert not RulesVersion.objects.of(job.shop).exists()


def test_an_item_of_the_shops_own_is_counted_from_then_on(estimator, job):
    address = reverse("takeoff_rules")
    form = form_with(estimator.get(address), "why")
    own = {
        "new_name": "Bonding wire",
        "new_quantity": "1/2",
        "new_unit": "each",
        "new_per": "light",
        "why": "Asked for.",
    }
    estimator.post(address, form | own)
    page = said(estimator.get(reverse("purchase_list", args=[job.pk])))
    assert "Bonding wire" in page  # half for each of ten lights: five


def test_an_optional_item_is_counted_where_it_is_asked_for(estimator, job):
    den = Room.objects.of(job.shop).get(name="Den")
    room_page = reverse("room_counting", args=[den.pk])
    estimator.post(
        room_page, form_with(estimator.get(room_page), "feet_light") | {"light_gasket": "on", "feet_light": "9 ft"}
    )
    matrix = said(estimator.get(reverse("takeoff_matrix", args=[job.pk])))
    assert "Seal or gasket" in matrix
    assert "39.6" in matrix  # four lights at 9 ft, and 10 percent
    job_page = reverse("asked_items", args=[job.pk])
    estimator.post(job_page, form_with(estimator.get(job_page), "seen") | {"permit": "on"})
    assert "Permit" in said(estimator.get(reverse("purchase_list", args=[job.pk])))


def test_of_two_who_tick_items_neither_loses_the_others(estimator, job):
    address = reverse("asked_items", args=[job.pk])
    one, other = (form_with(estimator.get(address), "seen") for _ in range(2))
    estimator.post(address, one | {"permit": "on", "dump": "on"})
    estimator.post(address, other | {"travel": "on"})
    assert set(job.asked_items.values_list("item", flat=True)) == {"permit", "dump", "travel"}
    later = form_with(estimator.get(address), "seen")
    estimator.post(address, {name: value for name, value in later.items() if name != "dump"})
    assert set(job.asked_items.values_list("item", flat=True)) == {"permit", "travel"}


def test_hours_are_not_for_those_who_may_not_see_prices(client, people, job):
    lead = sign_in(client, people[Role.CREW_LEAD])
    assert lead.get(reverse("takeoff_labor", args=[job.pk])).status_code == 403
    assert lead.post(reverse("kept_takeoffs", args=[job.pk]), {"label": ""}).status_code == 403
    assert "Hours by phase" not in said(lead.get(reverse("job_takeoff", args=[job.pk])))


def test_a_job_too_big_for_a_page_is_counted_as_work(estimator, job, monkeypatch):
    monkeypatch.setattr(web, "MOST_FOR_A_PAGE", 1)
    page = estimator.get(reverse("job_takeoff", args=[job.pk]))
    assert "2 rooms have to be counted" in said(page)
    assert "Start the counting" in said(page)


@pytest.mark.parametrize("name", ["job_takeoff", "takeoff_matrix", "purchase_list"])
def test_a_page_asks_as_much_of_the_database_for_five_rooms_as_for_two(
    estimator, job, name, django_assert_max_num_queries
):
    address = reverse(name, args=[job.pk])
    estimator.get(address)
    with django_assert_max_num_queries(60) as two:
        estimator.get(address)
    asked = len(two)
    for room in ("Hall", "Bath", "Nook"):
        issue(practice_room(job.shop, job=job, name=room))
    estimator.get(address)
    with django_assert_max_num_queries(asked):
        estimator.get(address)
