"""A phone that joined a job sees that job and no other: on no page, of no answer, by no address, in no query."""

import re

import pytest
from django.apps import apps
from django.http import Http404
from django.test import Client
from django.urls import reverse

from projects.accounts.models import ApiToken
from projects.jobs import web as jobs_web
from projects.jobs.models import Job, Room
from projects.jobs.queries import job_of, room_of
from projects.platform.one_job import keep_to, only_job, undo, ways_to_job
from projects.platform.permissions import ACTIONS, API_ROUTES, OF_ONE_JOB, PERSONAL, ROUTES, WHOLE_SHOP, Role, may
from projects.platform.tenancy import ShopRecord
from tests.api.houses import converters
from tests.conftest import standing
from tests.factories import FACTORIES, JoinedFactory, RoomFactory
from tests.untouched import taken_back
from tests.walk.walked import PAGES, House, words

pytestmark = pytest.mark.django_db

# What belongs to the whole shop: its catalog, its rules, its prices, its people's settings.
OF_THE_SHOP = {
    "doors.Invitation", "keeping.TakenOut", "webhooks.Webhook", "webhooks.Delivery",
    "catalogue.PhotometricFile", "catalogue.FixtureType", "catalogue.LightTarget", "catalogue.ControlType",
    "catalogue.InstallSheet",
    "work.Work", "wiring.Reel", "purchasing.Leftover", "prices.Item", "prices.ItemPack", "prices.Price",
    "field.Phone", "overview.SavedView", "overview.RedRule",
    "days.CalendarFeed", "days.MorningLetter",
    "prices.PriceImport", "prices.ColumnMeaning", "prices.LaborEdit", "takeoffs.RulesVersion", "bids.ShopTexts",
}  # fmt: skip
OTHER = "Quillback"  # a word of the other job and its rooms that stands nowhere else


def other_job():
    house = House()
    Job.objects.of(house.shop).filter(pk=house.room.job_id).update(name=f"{OTHER} house", client=OTHER, site=OTHER)
    Room.objects.of(house.shop).filter(pk=house.room.pk).update(name=f"{OTHER} den", waits_for=OTHER)
    mine = RoomFactory(shop=house.shop, name="Own room")
    house.joined = JoinedFactory(job=mine.job, member__user__name="Tomás")
    house.mine = mine
    return house


house_standing = standing(other_job)


@pytest.fixture
def house(house_standing, db):
    return house_standing


@pytest.fixture
def phone(house):
    client = Client()
    client.force_login(house.joined.member.user)
    return client


@pytest.fixture
def kept(house):
    token = keep_to(house.mine.job_id)
    yield
    undo(token)


def test_every_kind_of_record_belongs_to_a_job_or_is_named_as_the_whole_shops():
    kinds = {model._meta.label: model for model in apps.get_models() if issubclass(model, ShopRecord)}
    of_no_job = {label for label, model in kinds.items() if label != "jobs.Job" and not ways_to_job(model)}
    assert of_no_job - OF_THE_SHOP == set()


OF_JOBS = [model for model in FACTORIES if issubclass(model, ShopRecord) and (model is Job or ways_to_job(model))]


@pytest.mark.parametrize("model", OF_JOBS, ids=lambda model: model.__name__)
def test_a_row_of_another_job_is_in_no_query(model):
    """However it is asked: by the shop, by its id, counted, changed or deleted."""
    row = FACTORIES[model]()
    elsewhere = RoomFactory(shop=row.shop)
    token = keep_to(elsewhere.job_id)
    try:
        rows = model._default_manager.of(row.shop).filter(pk=row.pk)
        named = any(getattr(row, field.attname) is not None for field in ways_to_job(model)) or model is Job
        assert rows.exists() is not named
        if named:
            assert row not in model._default_manager.of(row.shop)
            assert rows.update(version=9) == 0
    finally:
        undo(token)
    assert model._default_manager.of(row.shop).filter(pk=row.pk).exists()


def test_the_other_job_is_answered_like_one_that_is_not_there(house, kept):
    assert job_of(house.shop, house.mine.job_id) == house.mine.job
    assert room_of(house.shop, house.mine.pk) == house.mine
    for ask in (lambda: job_of(house.shop, house.room.job_id), lambda: room_of(house.shop, house.room.pk)):
        with pytest.raises(Http404):
            ask()


def test_rows_can_still_be_locked_changed_and_begun(house, kept):
    locked = Room.objects.of(house.shop).select_for_update().get(pk=house.mine.pk)
    locked.note = "Held."
    locked.save()
    assert RoomFactory(job=house.mine.job, shop=house.shop) in house.mine.job.rooms.all()


def test_no_page_of_the_shop_tells_of_the_other_job(house, phone):
    """By its own address with its own ids, and by every page that has no ids: not a word of the other job."""
    told = []
    for name in PAGES:
        if not ROUTES[name].read or name in ("check_card", "client_link"):  # what a card's code or a client opens
            continue
        with taken_back():
            answer = phone.get(house.address(name))
        if answer.status_code == 200 and OTHER in words(answer):
            told.append(name)
    assert told == []


def test_no_page_with_ids_of_the_other_job_opens(house, phone):
    of_the_job = [name for name, parts in PAGES.items() if {"job_id", "room_id"} & set(parts)]
    opened = []
    for name in of_the_job:
        for method in ("get", "post"):
            with taken_back():
                answer = getattr(phone, method)(house.address(name))
            if answer.status_code not in (403, 404, 405):
                opened.append((name, method, answer.status_code))
    assert opened == []


def test_no_answer_of_the_api_tells_of_the_other_job(house, phone):
    listing = [name for name in API_ROUTES if API_ROUTES[name].read]
    without_ids = [name for name in listing if not converters(name)]
    told = [name for name in without_ids if OTHER in phone.get(reverse(f"api:{name}")).content.decode()]
    assert len(without_ids) > 10 and told == []


def test_no_answer_with_ids_of_the_other_job_is_given(house, phone):
    parts = {name: set(converters(name)) for name in API_ROUTES}
    of_the_job = [name for name in parts if parts[name] & {"job_id", "room_id"} and parts[name] <= set(house.ids)]
    assert len(of_the_job) > 30
    opened = []
    for name in of_the_job:
        address = reverse(f"api:{name}", kwargs={part: house.ids[part] for part in converters(name)})
        for method in ("get", "post", "put", "patch", "delete"):
            with taken_back():
                key = {"Idempotency-Key": "walk"}  # what makes several things asks for one before anything else
                answer = getattr(phone, method)(address, {}, content_type="application/json", headers=key)
            if answer.status_code not in (403, 404, 405):
                opened.append((name, method, answer.status_code))
    assert opened == []
    assert phone.get(f"/api/v1/rooms/{house.mine.pk}/").status_code == 200


def test_what_goes_over_all_jobs_is_not_for_a_phone(house, phone):
    for name in WHOLE_SHOP & set(ROUTES):
        if ROUTES[name].read:
            assert phone.get(house.address(name)).status_code == 403, name


def test_a_better_role_opens_no_other_job_and_no_office(house, phone):
    member = house.joined.member
    type(member).objects.filter(pk=member.pk).update(role=Role.OWNER.value, may_approve=True, may_move_marks=True)
    assert phone.get(reverse("people")).status_code == 403
    assert phone.get(reverse("room", args=[house.room.pk])).status_code == 404
    member.refresh_from_db()
    member.only_job = house.mine.job_id
    assert {action for action in (*ACTIONS, *PERSONAL) if may(member, action)} == OF_ONE_JOB


def test_a_token_speaks_for_no_joined_phone(house, phone):
    assert phone.get(reverse("own_tokens")).status_code == 403
    _token, secret = ApiToken.make(house.joined.member, "loose")
    answer = Client().get("/api/v1/rooms/", headers={"Authorization": f"Bearer {secret}"})
    assert answer.status_code == 401


def test_the_bound_ends_with_the_request_even_when_it_fails(house, phone, monkeypatch):
    asked = []

    def breaks(*args, **kwargs):
        asked.append(only_job())
        raise RuntimeError("broken")

    monkeypatch.setattr(jobs_web.queries, "page_of_jobs", breaks)
    with pytest.raises(RuntimeError, match="broken"):
        phone.get(reverse("jobs"))
    assert asked == [house.mine.job_id]
    assert only_job() is None
    assert room_of(house.shop, house.room.pk) == house.room


def test_the_rooms_of_the_phones_own_job_are_there(house, phone):
    page = phone.get(reverse("jobs")).content.decode()
    assert house.mine.job.name in page and not re.search(OTHER, page)
    assert phone.get(reverse("room", args=[house.mine.pk])).status_code == 200
