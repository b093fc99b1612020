"""The owner's screens on records: the first screen's lines, rows of jobs, where each figure leads, who sees what.

One shop stands for the module. Its jobs: a house with rooms at several stages, a remodel with money, one long closed.
"""

import datetime as dt
import html
import re
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.crews.models import CrewDay
from projects.jobs.models import Job, Room
from projects.platform.permissions import Role
from reports.rooms.gather import look
from reports.rooms.models import Billed, RedRule, SavedView
from tests.conftest import own_copy, standing
from tests.factories import (
    CardCopyFactory,
    ChangeOrderFactory,
    JobFactory,
    LayoutRevisionFactory,
    MemberFactory,
    RoomFactory,
    ShopFactory,
    StageEventFactory,
)
from tests.shops import people_of

pytestmark = pytest.mark.django_db
MOST_QUERIES = 50  # signing in is among them
MONEY = re.compile(r"\b(price|prices|priced|pricing|cost|costs|markup|margin)\b|[$€£]", re.IGNORECASE)


def days_ago(days):
    return timezone.now() - dt.timedelta(days=days)


def make():
    shop = ShopFactory(name="Ridge Lighting")
    today = timezone.localdate()
    house = JobFactory(
        shop=shop, number="M-12", name="Mill house", client="R. Orchard", drywall_on=today + dt.timedelta(days=2)
    )
    rooms = {
        "den": RoomFactory(job=house, name="Den", stage=5, stage_since=days_ago(3)),
        "snug": RoomFactory(job=house, name="Snug", stage=3, stage_since=days_ago(12)),
        "bath": RoomFactory(job=house, name="Bath", stage=12, stage_since=days_ago(40)),
        "attic": RoomFactory(job=house, name="Attic", stage=0),
        "gone": RoomFactory(job=house, name="Gone", stage=5, cancelled=True),
    }
    CardCopyFactory(revision=LayoutRevisionFactory(room=rooms["den"], lights=6, approved_at=timezone.now()))
    LayoutRevisionFactory(room=rooms["den"], lights=6, approved_at=timezone.now())
    remodel = JobFactory(shop=shop, number="K-7", name="Boat shed")
    RoomFactory(job=remodel, name="Loft", stage=2, waits_for="GC: beam", stage_since=days_ago(9))
    sent = {"state": "sent", "price": Decimal("430.10"), "sent_at": days_ago(9)}
    ChangeOrderFactory(job=remodel, **sent)
    closed = JobFactory(shop=shop, number="L-1", name="Old barn", closed_on=today)
    rooms["stall"] = RoomFactory(job=closed, name="Stall", stage=12)
    people = people_of(shop)
    CrewDay.objects.create(shop=shop, member=people[Role.CREW], job=house, on=today + dt.timedelta(days=1))
    return SimpleNamespace(shop=shop, house=house, remodel=remodel, closed=closed, rooms=rooms, people=people)


stands = standing(make)


@pytest.fixture
def site(stands, db):
    return own_copy(stands)


@pytest.fixture
def see(site):
    """see("home", role=Role.CREW, red="waits") -> the answer."""

    def get(name="rooms", role=Role.OWNER, **query):
        client = Client()
        client.force_login(site.people[role].user)
        answer = client.get(reverse(name), query)
        assert answer.status_code == 200
        return answer

    return get


def strips(answer):
    return {strip.row.job.number: strip for strip in answer.context["page"]}


def names(answer):
    return sorted(room.name for room in answer.context["page"].object_list)


def text(answer):
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


# The first screen


def test_the_day_begins_with_who_must_move_and_each_line_leads_to_its_rooms(see, site):
    answer = see("home")
    lines = answer.context["lines"]
    assert [line.key for line in lines][:2] == ["drywall_rough_in", "unsigned_change"]
    assert {line.key for line in lines} == {"unsigned_change", "drywall_rough_in", "stale_card", "waits"}
    assert any("GC must act for Loft of K-7 Boat shed: beam; it has waited 9 days" in line.text for line in lines)
    for line in lines:
        if "view=table" in line.href:
            client = Client()
            client.force_login(site.people[Role.OWNER].user)
            assert client.get(line.href).context["page"].paginator.count >= 1, line.text


def test_there_are_never_more_than_ten_lines(see, site):
    for number in range(12):
        RoomFactory(job=JobFactory(shop=site.shop), stage=5, stage_since=days_ago(30 + number))
    answer = see("home")
    assert len(answer.context["lines"]) == 10
    assert "7 more lines" in text(answer)


@pytest.mark.parametrize("role", [Role.CREW_LEAD, Role.CREW, Role.VIEWER])
def test_who_may_not_see_money_reads_no_word_of_it(see, site, role):
    for name in ("home", "rooms", "red_rules", "shop_numbers"):
        answer = see(name, role=role)
        assert not MONEY.search(text(answer)), name
        assert "430.10" not in text(answer)
    assert {line.key for line in see("home", role=role).context["lines"]} == {"drywall_rough_in", "stale_card", "waits"}


# Rows of jobs


def test_a_row_tells_stages_next_hold_point_oldest_room_who_blocks_and_crew(see, site):
    row = strips(see())["M-12"].row
    assert [(step.number, step.count, step.percent) for step in row.steps] == [
        (0, 1, 25), (3, 1, 25), (5, 1, 25), (12, 1, 25),
    ]  # fmt: skip
    assert (row.oldest[0].name, row.oldest[1]) == ("Snug", 12)
    assert [(one.who, one.rooms) for one in row.blocked] == [("Client", 1)]
    assert row.hold.point in ("H1", "H2") and row.hold.on is None
    assert row.stale_cards == 1
    assert list(row.job.crew.values()) == [site.people[Role.CREW].user.name]
    assert row.done_percent == 25


def test_rows_are_jobs_under_way_the_most_to_lose_first(see):
    assert list(strips(see())) == ["M-12", "K-7"]
    assert list(strips(see(sort="job"))) == ["K-7", "M-12"]


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"q": "orchard"}, ["M-12"]),
        ({"q": "gc"}, ["K-7"]),
        ({"stage": "3"}, ["M-12"]),
        ({"red": "drywall_rough_in"}, ["M-12"]),
        ({"red": "unsigned_change"}, ["K-7"]),
        ({"q": "nobody"}, []),
    ],
)
def test_jobs_are_found_by_words_stage_and_rule(see, query, found):
    assert list(strips(see(**query))) == found


def test_jobs_are_found_by_who_works_there_this_week(see, site):
    assert list(strips(see(crew=site.people[Role.CREW].pk))) == ["M-12"]
    assert names(see(view="table", crew=site.people[Role.CREW].pk)) == ["Attic", "Den", "Snug"]


def test_every_figure_of_a_row_leads_to_as_many_rooms(see, site):
    page = see().content.decode().split('<ul class="job-rows">')[1]
    client = Client()
    client.force_login(site.people[Role.OWNER].user)
    figures = re.findall(r'<a href="(/rooms/\?view=table[^"]+)"[^>]*>(.*?)</a>', page, flags=re.DOTALL)
    assert len(figures) > 8
    for href, said in figures:
        plain = re.sub(r"<span class=\"(tag|said)\".*?</span>", "", said, flags=re.DOTALL)
        told = re.search(r"\d+", re.sub(r"<[^>]+>", " ", plain))
        if told and "crew=" not in href:
            found = client.get(html.unescape(href)).context["page"].paginator.count
            assert found == int(told[0]), (href, plain)


def test_the_bar_has_its_counts_beside_it_as_links(see):
    answer = see()
    assert answer.content.decode().count("<svg") >= 3
    assert "Rooms by stage: 0 Bid 1; 3 Approved 1; 5 Rough-in 1; 12 Close-out 1." in text(answer)


def test_a_closed_job_is_looked_for_among_every_job_ever(see):
    assert "Stall" not in names(see(view="table"))
    assert "Stall" in names(see(view="table", jobs="every"))
    told = see(view="table", jobs="every", flag="waits")
    assert "for jobs under way, or for one job" in " ".join(told.context["notes"])


def test_a_job_nobody_closed_and_nobody_touched_for_a_season_is_not_under_way(see, site):
    Room.objects.of(site.shop).filter(job=site.house).update(stage=12, updated_at=days_ago(91))
    Job.objects.of(site.shop).filter(pk=site.house.pk).update(created_at=days_ago(200))
    assert list(strips(see())) == ["K-7"]
    Room.objects.of(site.shop).filter(name="Den").update(updated_at=days_ago(89))
    assert set(strips(see())) == {"K-7", "M-12"}


def test_another_shops_jobs_are_nowhere(see):
    theirs = RoomFactory(job__name="Their house", stage=5, stage_since=days_ago(60), waits_for="them")
    for name in ("home", "rooms"):
        assert "Their house" not in text(see(name))
    assert names(see(view="table", red="waits", job=theirs.job_id)) == ["Loft", "Snug"]


def test_more_rooms_take_no_more_queries(see, site):
    taken = []
    for _twice in range(2):
        for name, query in (("home", {}), ("rooms", {}), ("rooms", {"view": "table", "red": "waits"})):
            with CaptureQueriesContext(connection) as seen:
                see(name, **query)
            taken.append(len(seen))
        for _n in range(3):
            job = JobFactory(shop=site.shop, inspection_on=timezone.localdate())
            for _m in range(3):
                room = RoomFactory(job=job, stage=5, waits_for="GC", stage_since=days_ago(20))
                CardCopyFactory(revision=LayoutRevisionFactory(room=room))
    assert max(taken) <= MOST_QUERIES
    assert taken[3] <= taken[0] + 9  # the first time no inspection was near, and no checklist was asked after
    with CaptureQueriesContext(connection) as again:
        see("home")
    assert len(again) == taken[3]


# What people set


def post(site, name, /, *args, role=Role.OWNER, **data):
    client = Client()
    client.force_login(site.people[role].user)
    return client.post(reverse(name, args=args), data)


def test_a_kept_view_is_ones_own_until_the_owner_shares_it(see, site):
    post(site, "keep_view", name="Stuck at GC", query="view=table&flag=waits&page=3&evil=1")
    kept = SavedView.objects.of(site.shop).get()
    assert kept.query == "view=table&flag=waits"
    assert "Stuck at GC" in text(see()) and "Stuck at GC" not in text(see(role=Role.CREW_LEAD))
    assert post(site, "share_view", kept.pk, role=Role.CREW_LEAD).status_code == 403
    post(site, "share_view", kept.pk)
    assert "Stuck at GC" in text(see(role=Role.CREW_LEAD))
    post(site, "drop_view", kept.pk, role=Role.CREW_LEAD)
    assert SavedView.objects.of(site.shop).get() == kept
    post(site, "drop_view", kept.pk)
    assert not SavedView.objects.of(site.shop).exists()


def test_the_same_name_again_takes_the_views_place(site):
    for query in ("view=wall", "view=table"):
        post(site, "keep_view", name="Mine", query=query)
    assert [view.query for view in SavedView.objects.of(site.shop)] == ["view=table"]
    assert post(site, "keep_view", name=" ", query="").status_code == 302
    assert SavedView.objects.of(site.shop).count() == 1


def rule_form(see, **changed):
    values = {}
    for row in see("red_rules").context["rows"]:
        for field in row:
            if (value := field.value()) is not None and value is not False:
                values[field.html_name] = value
    return values | changed


def test_the_owner_sets_when_it_is_red_and_every_red_goes_by_it(see, site):
    typed = rule_form(see, **{"drywall_rough_in-days": 1})
    assert post(site, "red_rules", **typed).status_code == 302
    assert [row.key for row in RedRule.objects.of(site.shop)] == ["drywall_rough_in"]
    assert "drywall_rough_in" not in {line.key for line in see("home").context["lines"]}
    stale = post(site, "red_rules", **typed | {"drywall_rough_in-days": 4})
    assert stale.status_code == 409  # seen before the first save
    assert post(site, "red_rules", role=Role.CREW_LEAD, **typed).status_code == 403


def test_a_rule_with_odd_days_is_refused_and_nothing_is_kept(see, site):
    answer = post(site, "red_rules", **rule_form(see, **{"waits-days": 400, "stuck-days": 5}))
    assert answer.status_code == 422
    assert "Days: Waits for somebody" in text(answer)
    assert not RedRule.objects.of(site.shop).exists()


def test_a_bill_is_written_once_a_press_and_taken_back_by_a_row_against_it(site):
    slip = "7f0c4c52-3c5f-4b6e-9d53-0d3b6a1f2c11"
    bill = {"on": "2026-11-30", "amount": "1200.50", "words": "Rough-in", "slip": slip}
    for _twice in range(2):
        assert post(site, "job_billed", site.house.pk, **bill).status_code == 302
    row = Billed.objects.of(site.shop).get()
    for _twice in range(2):
        post(site, "job_billed", site.house.pk, take_back=row.pk)
    amounts = Billed.objects.of(site.shop).order_by("pk").values_list("amount", flat=True)
    assert list(amounts) == [Decimal("1200.50"), Decimal("-1200.50")]
    assert look(site.shop, money=True).by_job[site.house.pk].money.billed == 0
    assert post(site, "job_billed", site.house.pk, **bill | {"amount": "0"}).status_code == 422
    assert post(site, "job_billed", site.house.pk, role=Role.CREW_LEAD, **bill).status_code == 403


# The shop's numbers


def test_days_at_a_stage_are_counted_from_one_move_to_the_next(see, site):
    """Created on day 0; leaves the bid on day 2, the survey on day 7: 2 and 5 days. Another room: 4 days of bid."""
    begun = dt.datetime(2026, 5, 3, 12, tzinfo=dt.UTC)
    one, other = RoomFactory(job=site.house), RoomFactory(job=site.house)
    Room.objects.of(site.shop).filter(pk__in=[one.pk, other.pk]).update(created_at=begun)
    for room, came_from, day in ((one, 0, 2), (one, 1, 7), (other, 0, 4)):
        StageEventFactory(room=room, came_from=came_from, went_to=came_from + 1, at=begun + dt.timedelta(days=day))
    [chart] = see("shop_numbers").context["pictures"]
    assert chart.table.rows == (("0 Bid", "3 d", "3", "2"), ("1 Survey", "5 d", "5", "1"))
    assert "<svg" in chart.svg


def test_a_shop_without_numbers_or_rooms_is_told_what_comes(client):
    owner = MemberFactory()
    client.force_login(owner.user)
    assert "No numbers yet" in text(client.get(reverse("shop_numbers")))
    assert "No rooms yet" in text(client.get(reverse("home")))
    assert "No jobs yet" in text(client.get(reverse("rooms")))
