"""Rows 10, 23, 41, 63, 68, 70 and 72: questions, days, searches and units that are meant to break a record."""

from urllib.parse import quote

import pytest
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.test import Client

from projects.accounts.models import User
from projects.jobs.models import Job, Reading
from projects.platform.permissions import Role
from tests.api.houses import problem_of, wrong_at
from tests.factories import JobFactory, UserFactory
from tests.shops import sign_in


def test_row_10_a_form_of_more_boxes_than_any_page_has_is_refused(house):
    """The largest page is a plan with the 2,000 things a room may have."""
    client = Client(raise_request_exception=False)
    sign_in(client, house.people[Role.OWNER])
    answer = client.post("/jobs/new/", {f"x{n}": "" for n in range(settings.DATA_UPLOAD_MAX_NUMBER_FIELDS + 1)})
    assert answer.status_code == 400
    assert Job.objects.of(house.shop).count() == 1


def test_row_10_a_page_s_body_of_ten_million_bytes_is_refused(house):
    client = Client(raise_request_exception=False)
    sign_in(client, house.people[Role.OWNER])
    answer = client.post("/jobs/new/", {"name": "x" * 10_000_000})
    assert answer.status_code in (400, 413)


@pytest.mark.parametrize(
    "question",
    [
        "job=1&job__shop=2", "ordering=job__shop__owner__password", "ordering=-shop", "ordering=?", "fields=shop",
        "shop=2", "shop_id=2", "id__gt=0", "_connector=OR", "_negated=1", "name__regex=.*", "pk__in=1,2", "search[]=x",
    ],
)  # fmt: skip
def test_row_41_a_list_answers_the_questions_it_offers_and_no_other(house, question):
    for name in ("jobs", "job_rooms"):
        problem_of(house.ask().get(f"{house.address(name)}?{question}"), 400)


def test_row_41_what_another_shop_has_is_neither_found_nor_counted(house, neighbor):
    JobFactory(shop=neighbor.shop, name="Canary house", number="CANARY-1")
    told = house.ask().get(f"{house.address('jobs')}?search=canary").json()
    assert (told["count"], told["results"]) == (0, [])


@pytest.mark.parametrize(
    "question",
    ["page=-1", "page=0", "page=1e9", "page=999999999999999999999", "page=x", "page=1&page=2", "page_size=-1",
     "page_size=0", "page_size=x", "cursor=x", "cursor=..", "cursor=eyJhIjoxfQ:1:x", "page=%00", "page=1_0"],
)  # fmt: skip
def test_row_63_a_page_that_means_nothing_is_refused(house, question):
    answer = house.ask().get(f"{house.address('jobs')}?{question}")
    assert problem_of(answer)["status"] in (400, 404)


def test_row_63_a_page_of_a_million_is_one_of_two_hundred_at_most(house):
    JobFactory.create_batch(205, shop=house.shop)
    answer = house.ask().get(f"{house.address('jobs')}?page_size=1000000")
    assert answer.status_code == 400 or len(answer.json()["results"]) <= 200


SEARCHED = [
    "' OR 1=1 --", '" OR ""="', "%", "_", "\\", "%_\\", "'; DROP TABLE jobs_job; --", "\\'", "*", "a' UNION SELECT 1",
]  # fmt: skip


@pytest.mark.parametrize("words", SEARCHED)
def test_row_68_what_is_searched_for_is_taken_as_it_is_written(house, words):
    JobFactory(shop=house.shop, number="N-1", name="Plain house")
    found = house.ask().send("GET", f"{house.address('jobs')}?search={quote(words)}")
    assert found.status_code == 200 and found.json()["count"] == 0
    JobFactory(shop=house.shop, number="N-2", name=f"Job {words} house")
    found = house.ask().send("GET", f"{house.address('jobs')}?search={quote(words)}")
    assert [job["number"] for job in found.json()["results"]] == ["N-2"]


DAYS = ["9999-12-31", "1999-12-31", "2101-01-01", "0001-01-01", "2026-02-29", "2026-13-01", "2026-00-10", "today", "",
        "2026-05-03T00:00:00Z", "1e9", "２０２６-０５-０３x"]  # fmt: skip


@pytest.mark.parametrize("day", DAYS)
def test_row_70_a_day_no_visit_was_on_is_refused_by_name(house, day):
    body = {
        "kind": "framing", "taken_on": day, "taken_by": "R.", "instrument": "tape",
        "readings": {"door": [{"value": "150 in"}]},
    }  # fmt: skip
    before = Reading.objects.count()
    assert list(wrong_at(house.ask().post(house.address("measurements"), body))) == ["/taken_on"]
    assert Reading.objects.count() == before


def test_row_70_the_last_day_of_a_leap_february_is_a_day(house):
    body = {
        "kind": "framing", "taken_on": "2024-02-29", "taken_by": "R.", "instrument": "tape",
        "readings": {"door": [{"value": "150 in"}]},
    }  # fmt: skip
    assert house.ask().post(house.address("measurements"), body).json()["taken_on"] == "2024-02-29"


def test_row_72_lengths_stay_to_the_nanometer_whatever_a_job_is_written_in(house):
    was = list(Reading.objects.order_by("pk").values_list("value", flat=True))
    marks = list(house.revision.marks.order_by("pk").values_list("along", "across"))
    issued = kept_bytes(house.revision)
    for style, fraction in (("mm", None), ("ft-in", 16), ("in", 8)):
        Job.objects.of(house.shop).filter(pk=house.job.pk).update(style=style, fraction=fraction)
        house.ask().get(house.address("sheet"))
        assert list(Reading.objects.order_by("pk").values_list("value", flat=True)) == was
        assert list(house.revision.marks.order_by("pk").values_list("along", "across")) == marks
        house.revision.refresh_from_db()
        assert kept_bytes(house.revision) == issued


def kept_bytes(revision):
    """All that is kept of a revision in its own row, as it stands there."""
    return {field.attname: getattr(revision, field.attname) for field in revision._meta.concrete_fields}


@pytest.mark.parametrize("email", ["ｌee@shop.example", "lee＠shop.example", "lee\u200b@shop.example", "lеe@a.example"])
def test_row_23_an_e_mail_in_letters_that_only_look_like_others_is_none(email):
    with pytest.raises(ValidationError):
        validate_email(email)


@pytest.mark.django_db
def test_row_23_an_e_mail_is_one_whatever_its_capitals():
    UserFactory(email="lee@shop.example")
    assert User.objects.get_by_natural_key("LEE@Shop.Example").email == "lee@shop.example"
