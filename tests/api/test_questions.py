"""What a list may be asked: narrowed, ordered, searched, since when, and by a cursor that loses and repeats no row."""

import re
from datetime import timedelta
from urllib.parse import quote

import pytest
from django.core import signing
from django.db.models import F
from django.utils import timezone

from projects.jobs.models import Job
from projects.platform.api.lists import SALT, Listing
from projects.platform.permissions import Role
from tests.api.houses import api_patterns, problem_of
from tests.factories import FixtureTypeFactory, JobFactory, RoomFactory

ROUTES = api_patterns()
LISTS = [
    name
    for name, pattern in ROUTES.items()
    if isinstance(getattr(pattern.callback.cls, "listing", None), Listing)
]
OF_RECORDS = [name for name in LISTS if ROUTES[name].callback.cls.listing.model]


def names(asker, address, question=""):
    told = asker.get(f"{address}?{question}")
    assert told.status_code == 200, told.content
    return [row["name"] for row in told.json()["results"]]


def refused(asker, address, question):
    return [error["parameter"] for error in problem_of(asker.get(f"{address}?{question}"), 400)["errors"]]


def pages(asker, address):
    """Every row from a cursor on, page by page."""
    while address:
        told = asker.get(address).json()
        yield from told["results"]
        address = told["next"]


# Narrowed, ordered, searched


def test_rooms_of_a_job_by_stage_level_and_word(house):
    asker, rooms = house.ask(Role.VIEWER), house.address("job_rooms")
    RoomFactory(job=house.job, name="Bath", level="Upper", stage=4)
    RoomFactory(job=house.job, name="Bunk room", level="Upper", stage=2)
    assert names(asker, rooms, "level=Upper&ordering=name") == ["Bath", "Bunk room"]
    assert names(asker, rooms, "level=Upper&ordering=-name") == ["Bunk room", "Bath"]
    assert names(asker, rooms, "stage=4") == ["Bath"]
    assert names(asker, rooms, "search=bunk+upper") == ["Bunk room"]
    assert names(asker, rooms, "search=bunk+snug") == []


def test_words_are_looked_for_as_they_stand(house):
    """Percent, underscore and quotes stand for themselves, on both engines."""
    asker, jobs = house.ask(), house.address("jobs")
    JobFactory(shop=house.shop, name="100% done")
    JobFactory(shop=house.shop, name="A_B")
    assert names(asker, jobs, f"search={quote('%')}") == ["100% done"]
    assert names(asker, jobs, "search=_") == ["A_B"]
    for word in ("' OR 1=1 --", "\\", '"', "'; DROP TABLE jobs_job; --"):
        assert names(asker, jobs, f"search={quote(word)}") == []


def test_a_type_by_its_kind_and_whether_it_is_still_put_in(house):
    FixtureTypeFactory(shop=house.shop, name="Old", retired=True)
    asker, types = house.ask(), house.address("fixture_types")
    assert names(asker, types, "retired=true") == ["Old"]
    assert house.light.name in names(asker, types, f"kind={house.light.kind}&retired=false")


@pytest.mark.parametrize(
    "question",
    [
        "ordering=client__secret", "ordering=shop", "ordering=", "ordering=pk", "ordering=--id", "ordering=?",
        "under_way=1", "under_way=True", "runs_as=x", "search=" + "x" * 101, "search=%00", "updated_since=2026-05-03",
        "updated_since=2026-05-03T10:00:00", "updated_since=1890-05-03T10:00:00Z", "updated_since=x", "job=1",
        "shop=2", "shop__members__user__password=x", "name__startswith=a", "_connector=OR", "pk=1", "fields=id",
        "ordering=id&ordering=name", "page=1&page=2", "cursor=x", "page_size=1&page_size=2",
    ],
)  # fmt: skip
def test_what_a_list_does_not_offer_is_refused_by_name(house, question):
    """Left out, it would give another list than was asked for; no question reaches a column by its own name."""
    assert set(refused(house.ask(), house.address("jobs"), question)) == {question.split("=")[0]}


@pytest.mark.parametrize("name", LISTS)
def test_every_list_refuses_what_it_does_not_know_and_takes_all_it_offers(house, name):
    asker, address = house.ask(), house.address(name)
    listing = ROUTES[name].callback.cls.listing
    assert refused(asker, address, "hue=red&hue=blue")[0] == "hue"
    for order in listing.orders:
        assert asker.get(f"{address}?ordering={order}").status_code == 200, order
    if listing.search:
        assert asker.get(f"{address}?search=a%25_+b").status_code == 200
    if listing.tells_since:
        assert asker.get(f"{address}?updated_since=2001-01-01T00:00:00Z").status_code == 200
    for question, one in listing.filters.items():
        values = one.shape.get("enum", [{"integer": 1, "boolean": "true"}.get(one.shape["type"], "2026-05-03")])
        for value in values:
            assert asker.get(f"{address}?{question}={quote(str(value))}").status_code == 200, question


def test_every_view_with_pages_says_what_it_may_be_asked(house):
    """The description has the pages; the view has to have the listing."""
    paths = house.ask(Role.OWNER).get("/api/v1/schema/").json()["paths"]
    paged = {
        path
        for path, methods in paths.items()
        if any(each["name"] == "page" for each in methods.get("get", {}).get("parameters", ()))
    }
    assert len(paged) >= 30
    assert {path for path in paged if path not in {_braced(name) for name in LISTS}} == set()


def _braced(name):
    return "/api/v1/" + re.sub(r"<\w+:(\w+)>", r"{\1}", str(ROUTES[name].pattern).removeprefix("v1/"))


# Since when


def test_only_what_changed_since_a_time_is_told(house):
    asker, jobs = house.ask(), house.address("jobs")
    JobFactory(shop=house.shop, name="Old")
    Job.objects.of(house.shop).update(updated_at=timezone.now() - timedelta(days=2))
    since = timezone.now() - timedelta(hours=1)
    JobFactory(shop=house.shop, name="New")
    for said in (quote(since.isoformat()), since.isoformat(), quote(since.strftime("%Y-%m-%dT%H:%M:%SZ"))):
        assert names(asker, jobs, f"updated_since={said}") == ["New"]
    asker.edit("PATCH", f"{jobs}{house.job.pk}/", {"note": "seen"})
    assert sorted(names(asker, jobs, f"updated_since={quote(since.isoformat())}")) == sorted(["New", house.job.name])


# Cursors


def test_from_a_cursor_each_row_comes_once_whatever_is_added_or_removed_meanwhile(house):
    JobFactory.create_batch(9, shop=house.shop)
    asker, jobs = house.ask(), house.address("jobs")
    before = set(Job.objects.of(house.shop).values_list("pk", flat=True))
    seen, address = [], f"{jobs}?cursor=&page_size=3"
    while address:
        told = asker.get(address).json()
        assert told["count"] is None and told["previous"] is None
        seen += [row["id"] for row in told["results"]]
        address = told["next"]
        late = JobFactory(shop=house.shop) if len(seen) == 3 else None
        if late:
            Job.objects.of(house.shop).filter(pk=seen[0]).update(name="Changed meanwhile")
            before.add(late.pk)
    assert seen == sorted(seen)
    assert set(seen) == before and len(seen) == len(before)


def test_a_cursor_goes_the_other_way_around_too(house):
    JobFactory.create_batch(4, shop=house.shop)
    asker, jobs = house.ask(), house.address("jobs")
    up = [row["id"] for row in pages(asker, f"{jobs}?cursor=&page_size=2")]
    assert [row["id"] for row in pages(asker, f"{jobs}?cursor=&page_size=2&ordering=-id")] == up[::-1]


def test_a_cursor_is_of_this_list_these_questions_and_this_shop(house, neighbor):
    for each in (house, neighbor):
        JobFactory.create_batch(3, shop=each.shop)
    asker, jobs = house.ask(), house.address("jobs")
    first = asker.get(f"{jobs}?cursor=&page_size=2").json()["next"]
    cursor = first.split("cursor=")[1].split("&")[0]
    for question in ("ordering=-id", "under_way=true", "search=a"):
        assert refused(asker, jobs, f"cursor={cursor}&page_size=2&{question}") == ["cursor"]
    assert refused(asker, house.address("fixture_types"), f"cursor={cursor}") == ["cursor"]
    assert refused(neighbor.ask(), jobs, f"cursor={cursor}") == ["cursor"]
    assert asker.get(f"{jobs}?cursor={cursor}&page_size=3").status_code == 200  # how many is no part of it


def test_a_cursor_nobody_signed_opens_nothing(house):
    JobFactory.create_batch(3, shop=house.shop)
    asker, jobs = house.ask(), house.address("jobs")
    real = asker.get(f"{jobs}?cursor=&page_size=2").json()["next"].split("cursor=")[1].split("&")[0]
    other = signing.dumps(("0" * 32, 1), salt=SALT)
    for forged in ("x", real[:-1] + ("A" if real[-1] != "A" else "B"), other, "a" * 5000, signing.dumps(7, salt=SALT)):
        assert refused(asker, jobs, f"cursor={forged}") == ["cursor"]


def test_a_cursor_takes_the_place_of_pages_and_of_another_order(house):
    asker, jobs, rooms = house.ask(), house.address("jobs"), house.address("rooms")
    assert refused(asker, jobs, "cursor=&page=1") == ["page"]
    assert refused(asker, jobs, "cursor=&ordering=name") == ["ordering"]
    assert refused(asker, rooms, "cursor=&sort=-stage") == ["sort"]


@pytest.mark.parametrize("name", OF_RECORDS)
def test_pages_and_cursors_give_the_same_rows(house, name):
    asker, address = house.ask(), house.address(name)
    by_page = asker.get(f"{address}?page_size=200&ordering=id").json()["results"]
    assert [*pages(asker, f"{address}?page_size=1&cursor=")] == by_page


def test_what_is_counted_leaves_out_other_shops(house, neighbor):
    JobFactory.create_batch(3, shop=neighbor.shop, name="Theirs")
    told = house.ask().get(f"{house.address('jobs')}?search=Theirs").json()
    assert (told["count"], told["results"]) == (0, [])


def test_the_version_of_a_record_does_not_change_by_being_listed(house):
    before = list(Job.objects.of(house.shop).values_list("pk", F("version")))
    house.ask().get(f"{house.address('jobs')}?cursor=")
    assert list(Job.objects.of(house.shop).values_list("pk", F("version"))) == before
