"""What the owner sees on the Rooms screen: every room of the shop, on the wall and in the table, found and sorted."""

import datetime as dt
import html
import re

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from projects.jobs.models import Room, Subject
from projects.platform.permissions import Role
from reports.rooms import asked, queries
from tests.factories import (
    CardCopyFactory,
    FixtureCountFactory,
    FixtureTypeFactory,
    JobFactory,
    LayoutRevisionFactory,
    MeasurementSetFactory,
    MemberFactory,
    RevisionMarkFactory,
    RoomFactory,
    ShopFactory,
)

pytestmark = pytest.mark.django_db
MOST_QUERIES = 14
ROOM_BY_ROOM = (asked.WALL, asked.TABLE)  # rows of jobs are held by tests/overview


@pytest.fixture
def shop():
    return ShopFactory(name="Ridge Lighting")


@pytest.fixture
def job(shop):
    return JobFactory(shop=shop, number="J-0012", name="Mill house")


@pytest.fixture
def see(client, shop):
    """see(view="table", q="bath") -> the Rooms screen as the shop's owner gets it; the wall unless told."""
    client.force_login(MemberFactory(shop=shop).user)

    def get(**query):
        response = client.get(reverse("rooms"), {"view": "wall", **query})
        assert response.status_code == 200
        return response

    return get


def names(response):
    return [room.name for room in response.context["page"].object_list]


def tags(response):
    """Each tag on the wall as (what it says, its fill, its further marks, its number)."""
    found = re.findall(
        r'<a class="tag([^"]*)" data-fill="(\w+)" href="[^"]+" aria-label="([^"]+)"[^>]*><b [^>]+>(\d+)</b>',
        response.content.decode(),
    )
    return [(html.unescape(words), fill, marks.split(), int(number)) for marks, fill, words, number in found]


def notes(response):
    return response.context["notes"]


# The wall


def test_a_tag_says_in_words_all_that_its_square_shows(see, job):
    room = RoomFactory(job=job, name="Guest bath", stage=5, waits_for="GC")
    CardCopyFactory(revision=LayoutRevisionFactory(room=room))
    LayoutRevisionFactory(room=room)
    assert tags(see()) == [
        (
            "Guest bath, stage 5 rough-in, in hand, waits for: GC, printed card out of date",
            "hatched",
            ["waits", "torn"],
            5,
        )
    ]


@pytest.mark.parametrize(
    ("stage", "fill", "said"),
    [
        (0, "empty", "stage 0 bid, not started"),
        (5, "hatched", "stage 5 rough-in, in hand"),
        (6, "dotted", "stage 6 inspection, waiting"),
        (12, "full", "stage 12 close-out, done"),
    ],
)
def test_a_tags_fill_tells_not_started_in_hand_waiting_done(see, job, stage, fill, said):
    RoomFactory(job=job, name="Den", stage=stage)
    assert tags(see()) == [(f"Den, {said}", fill, [], stage)]


def test_a_tag_leads_to_its_room_and_a_strip_to_its_job(see, job):
    room = RoomFactory(job=job)
    page = see().content.decode()
    assert f'href="{reverse("room", args=[room.pk])}"' in page
    assert f'href="{reverse("job", args=[job.pk])}"' in page


def test_each_job_is_one_strip_the_newest_job_first(see, shop):
    first, second = JobFactory(shop=shop), JobFactory(shop=shop)
    for job in (first, second, first, second):
        RoomFactory(job=job)
    strips = see().context["strips"]
    assert [strip.job for strip in strips] == [second, first]
    assert [len(strip.tags) for strip in strips] == [2, 2]


@pytest.mark.parametrize("sort", asked.SORTS)
def test_a_jobs_rooms_stay_in_one_strip_in_every_order(see, shop, sort):
    jobs = [JobFactory(shop=shop), JobFactory(shop=shop)]
    for number in range(6):
        RoomFactory(job=jobs[number % 2], stage=number)
    assert len(see(sort=sort).context["strips"]) == 2


# When a printed card is out of date


def test_a_card_of_the_newest_revision_is_not_out_of_date(see, job):
    room = RoomFactory(job=job)
    LayoutRevisionFactory(room=room)
    CardCopyFactory(revision=LayoutRevisionFactory(room=room))
    assert tags(see())[0][2] == []


def test_a_card_printed_again_after_the_new_revision_is_good_again(see, job):
    room = RoomFactory(job=job)
    CardCopyFactory(revision=LayoutRevisionFactory(room=room))
    newest = LayoutRevisionFactory(room=room)
    assert tags(see())[0][2] == ["torn"]
    CardCopyFactory(revision=newest)
    assert tags(see())[0][2] == []


def test_a_room_without_a_card_has_none_that_could_be_out_of_date(see, job):
    room = RoomFactory(job=job)
    LayoutRevisionFactory(room=room)
    LayoutRevisionFactory(room=room)
    assert tags(see())[0][2] == []


# The table


def test_the_table_carries_a_rooms_facts_in_the_shops_own_lengths(see, job):
    room = RoomFactory(job=job, name="Great room", level="First floor", stage=4)
    MeasurementSetFactory(room=room, readings={Subject.DOOR: inches(300), Subject.LEFT: inches(300)})
    MeasurementSetFactory(
        room=room,
        readings={
            Subject.DOOR: inches("206 3/8"),
            Subject.FAR: inches("206 1/4"),
            Subject.LEFT: inches("148 1/2"),
            Subject.HEIGHT: inches(97),
        },
    )
    LayoutRevisionFactory(room=room, lights=8, speakers=2)
    LayoutRevisionFactory(room=room, lights=12, speakers=3)

    response = see(view="table")
    [facts] = response.context["page"].object_list
    assert (facts.revision, facts.lights, facts.speakers) == (2, 12, 3)
    assert (facts.size.left_to_right, facts.size.door_to_far) == (inches("206 1/4"), inches("148 1/2"))
    row = " ".join(re.sub(r"<[^>]+>", " ", response.content.decode().split("<tbody>")[1].split("</tbody>")[0]).split())
    row = html.unescape(row)
    assert row.startswith(  # at its stage for 0 days
        'J-0012 Mill house Great room First floor 4 Released to field 0 206 1/4" × 148 1/2" framing to framing 12 3 2'
    )


def test_a_room_that_was_read_one_way_only_shows_what_is_missing(see, job):
    MeasurementSetFactory(room=RoomFactory(job=job), readings={Subject.LEFT: inches(100)})
    page = html.unescape(see(view="table").content.decode())
    assert '? × 100"' in page


def test_the_table_names_what_to_look_at(see, job):
    room = RoomFactory(job=job, waits_for="GC, framing at the beam")
    CardCopyFactory(revision=LayoutRevisionFactory(room=room))
    LayoutRevisionFactory(room=room)
    FixtureCountFactory(room=room)
    MeasurementSetFactory(room=room, readings={Subject.DOOR: inches(200), Subject.LEFT: inches(100)})
    RoomFactory(job=job)
    page = see(view="table").content.decode()
    page = re.sub(r"\s+", " ", page.split("<tbody>")[1])
    for said in (
        "waits for: GC, framing at the beam",
        "printed card out of date: revision 1",
        "cutout not verified",
        "no layout",
        "not measured",
    ):
        assert page.count(f">{said}</") == 1, said


# Narrowing it down


@pytest.fixture
def four(job, shop):
    """One room for each thing to look at, and one quiet one, in two jobs."""
    waits = RoomFactory(job=job, name="Waits", stage=3, waits_for="client")
    old = RoomFactory(job=job, name="Old card", stage=5)
    CardCopyFactory(revision=LayoutRevisionFactory(room=old))
    other = JobFactory(shop=shop, number="K-7", name="Boat shed")
    unverified = RoomFactory(job=other, name="Unverified", stage=2)
    quiet = RoomFactory(job=other, name="Quiet", stage=12)
    for room in (waits, old, unverified, quiet):
        LayoutRevisionFactory(room=room)
    FixtureCountFactory(room=unverified)
    verified = FixtureTypeFactory(shop=shop, cutout_verified_by="R.", cutout_verified_on=dt.date(2026, 5, 3))
    FixtureCountFactory(room=quiet, fixture_type=verified)
    RoomFactory(job=job, name="Bare", stage=0)
    RoomFactory(job=job, name="Dropped", stage=1, cancelled=True)
    return {"job": job.pk, "other": other.pk}


@pytest.mark.parametrize("view", ROOM_BY_ROOM)
@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({}, {"Waits", "Old card", "Unverified", "Quiet", "Bare"}),
        ({"flag": "waits"}, {"Waits"}),
        ({"flag": "old_card"}, {"Old card"}),
        ({"flag": "no_layout"}, {"Bare"}),
        ({"flag": "unverified"}, {"Unverified"}),
        ({"stage": "12"}, {"Quiet"}),
        ({"stage": "0"}, {"Bare"}),
        ({"state": "not_started"}, {"Bare"}),
        ({"state": "in_hand"}, {"Old card", "Unverified"}),
        ({"state": "waiting"}, {"Waits"}),
        ({"state": "done"}, {"Quiet"}),
        ({"state": "open"}, {"Waits", "Old card", "Unverified", "Bare"}),
        ({"state": "cancelled"}, {"Dropped"}),
        ({"state": "in_hand", "flag": "unverified"}, {"Unverified"}),
        ({"q": "boat"}, {"Unverified", "Quiet"}),
        ({"q": "K-7 qui"}, {"Quiet"}),
        ({"q": "OLD CARD"}, {"Old card"}),
    ],
)
def test_rooms_are_found_by_state_stage_mark_and_words(see, four, view, query, found):
    response = see(view=view, **query)
    assert set(names(response)) == found
    assert notes(response) == []


def test_rooms_are_found_by_job(see, four):
    response = see(job=four["other"])
    assert set(names(response)) == {"Unverified", "Quiet"}
    assert "of K-7 Boat shed" in response.content.decode()


def test_counts_beside_the_legend_are_those_of_the_whole_shop_or_of_the_job_chosen(see, four):
    def counts(**query):
        return {entry["key"]: entry["count"] for entry in see(**query).context["totals"]}

    everywhere = {
        "not_started": 1,
        "in_hand": 2,
        "waiting": 1,
        "done": 1,
        "waits": 1,
        "old_card": 1,
        "no_layout": 1,
        "unverified": 1,
        "cancelled": 1,
    }
    assert counts() == everywhere
    assert counts(state="done", flag="waits") == everywhere
    assert counts(job=four["other"])["in_hand"] == 1


def test_a_fixture_marked_in_the_newest_revision_counts_but_one_marked_only_before_does_not(see, job):
    room = RoomFactory(job=job)
    RevisionMarkFactory(revision=LayoutRevisionFactory(room=room))
    assert names(see(flag="unverified")) == [room.name]
    LayoutRevisionFactory(room=room)
    assert names(see(flag="unverified")) == []


@pytest.mark.parametrize("typed", ["%", "_", "100%", "a_b", "\\"])
def test_a_percent_sign_is_looked_for_as_itself(see, job, typed):
    RoomFactory(job=job, name=f"Den {typed} x")
    RoomFactory(job=job, name="Den 1000 aXb")
    assert names(see(q=typed)) == [f"Den {typed} x"]


def test_an_unverified_cutout_is_no_longer_looked_at_when_the_room_is_done(see, job):
    """Not verified means: do not cut yet. At close-out every hole is cut."""
    FixtureCountFactory(room=RoomFactory(job=job, name="Trimming", stage=9))
    FixtureCountFactory(room=RoomFactory(job=job, name="Closed", stage=12))
    assert names(see(flag="unverified")) == ["Trimming"]
    page = see(view="table").content.decode().split("<tbody>")[1]
    assert page.count("cutout not verified") == 1


def test_a_type_that_none_are_wanted_of_holds_nothing_up(see, job):
    FixtureCountFactory(room=RoomFactory(job=job), count=0)
    FixtureCountFactory(room=RoomFactory(job=job, name="As many as needed"), count=None)
    assert names(see(flag="unverified")) == ["As many as needed"]


# Order


@pytest.mark.parametrize("sort", ["-lights", "-speakers", "-revision"])
def test_rooms_without_a_layout_come_last_when_sorted_by_its_numbers(see, job, sort):
    """The two databases put absent numbers at different ends unless told."""
    RoomFactory(job=job, name="Bare")
    few, many = RoomFactory(job=job, name="Few"), RoomFactory(job=job, name="Many")
    LayoutRevisionFactory(room=few, lights=2, speakers=0)
    LayoutRevisionFactory(room=many, lights=2, speakers=0)
    LayoutRevisionFactory(room=many, lights=9, speakers=3)
    assert names(see(view="table", sort=sort)) == ["Many", "Few", "Bare"]


@pytest.mark.parametrize(
    ("sort", "order"),
    [
        ("newest", ["attic", "Bath", "den"]),
        ("job", ["den", "attic", "Bath"]),
        ("room", ["attic", "Bath", "den"]),
        ("level", ["Bath", "attic", "den"]),
        ("stage", ["Bath", "den", "attic"]),
        ("-stage", ["attic", "den", "Bath"]),
        ("updated", ["den", "attic", "Bath"]),
        ("-updated", ["Bath", "attic", "den"]),
    ],
)
def test_the_table_in_each_order(see, shop, sort, order):
    first, second = JobFactory(shop=shop, number="A-1"), JobFactory(shop=shop, number="b-2")
    RoomFactory(job=first, name="den", level="Second", stage=4)
    RoomFactory(job=second, name="attic", level="first", stage=9)
    RoomFactory(job=second, name="Bath", level="Basement", stage=1)
    assert names(see(view="table", sort=sort)) == order


# What the address can't mean


@pytest.mark.parametrize("view", ROOM_BY_ROOM)
@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("sort", "shop__name"),
        ("sort", "-job"),
        ("state", "finished"),
        ("flag", "price"),
        ("stage", "13"),
        ("stage", "-1"),
        ("stage", "٣"),
        ("job", "x"),
        ("job", "0"),
        ("job", "9" * 30),
        ("job", "9" * 18),
        ("job", "²"),
    ],
)
def test_what_the_screen_does_not_know_is_left_out_and_said(see, job, view, name, typed):
    RoomFactory(job=job, name="Den")
    response = see(view=view, **{name: typed})
    assert names(response) == ["Den"]
    [note] = notes(response)
    assert f"“{typed}”" in note
    assert note in html.unescape(response.content.decode())


def test_an_unknown_view_is_the_rows_of_jobs_and_said(see, job):
    RoomFactory(job=job)
    response = see(view="<b>map</b>")
    assert [strip.row.job.number for strip in response.context["page"]] == ["J-0012"]
    assert notes(response) == ["There is no view “<b>map</b>” here, so it was left out."]
    assert "<b>map</b>" not in response.content.decode()


@pytest.mark.parametrize("typed", ["\x00", "a\x00b", "\ud800", "é" * 5000, "'; drop", "   ", "\u202e", "{{ 7 }}"])
def test_anything_can_be_typed_into_the_search(client, shop, job, typed):
    RoomFactory(job=job)
    client.force_login(MemberFactory(shop=shop).user)
    raw = "".join(f"%{byte:02X}" for byte in typed.encode("utf-8", "surrogatepass"))
    for query in (f"q={raw}", f"page={raw}", f"sort={raw}&job={raw}&state={raw}&flag={raw}&stage={raw}&view={raw}"):
        assert client.get(f"{reverse('rooms')}?{query}").status_code == 200


@pytest.mark.parametrize(("typed", "page"), [("0", 1), ("-3", 1), ("x", 1), ("2", 2), ("99", 3), ("9" * 40, 1)])
def test_a_page_that_is_not_there_is_the_nearest_that_is(see, job, monkeypatch, typed, page):
    monkeypatch.setitem(queries.ROOMS_ON, "table", 2)
    for _ in range(5):
        RoomFactory(job=job)
    assert see(view="table", page=typed).context["page"].number == page


@pytest.mark.parametrize("view", ROOM_BY_ROOM)
@pytest.mark.parametrize("sort", asked.SORTS)
def test_every_room_is_on_one_page_and_on_one_only(see, shop, monkeypatch, view, sort):
    monkeypatch.setitem(queries.ROOMS_ON, view, 3)
    jobs = [JobFactory(shop=shop), JobFactory(shop=shop)]
    made = {RoomFactory(job=jobs[number % 2], stage=2).pk for number in range(10)}
    Room.objects.of(shop).update(updated_at=dt.datetime(2026, 5, 3, tzinfo=dt.UTC))
    seen = [room.id for page in (1, 2, 3, 4) for room in see(view=view, sort=sort, page=page).context["page"]]
    assert sorted(seen) == sorted(made)


def test_pages_keep_what_was_asked_for(see, job, monkeypatch):
    monkeypatch.setitem(queries.ROOMS_ON, "table", 1)
    for number in range(3):
        RoomFactory(job=job, name=f"Bath {number}", stage=4)
    page = html.unescape(see(view="table", q="bath", stage="4", sort="room", page=2).content.decode())
    assert 'href="?view=table&q=bath&stage=4&sort=room&page=3"' in page
    assert 'href="?view=table&q=bath&stage=4&sort=room&page=1"' in page


# Empty


def test_a_shop_without_jobs_is_told_what_to_do_first(see):
    page = see().content.decode()
    assert "No jobs yet" in page
    assert f'href="{reverse("new_room")}"' in page


def test_a_viewer_of_an_empty_shop_is_not_sent_where_they_may_not_go(client, shop):
    client.force_login(MemberFactory(shop=shop, role=Role.VIEWER.value).user)
    page = client.get(reverse("rooms")).content.decode()
    assert "No jobs yet" in page
    assert reverse("new_room") not in page


def test_jobs_without_rooms_are_not_called_no_jobs(see, job):
    assert "No rooms yet" in see().content.decode()


def test_when_no_room_fits_the_way_back_keeps_the_view_and_the_order(see, job):
    RoomFactory(job=job)
    page = html.unescape(see(q="cellar", view="table", sort="room").content.decode())
    assert "No room fits all of that" in page
    assert '<p><a href="?view=table&sort=room">Show all rooms</a></p>' in page


def test_a_shop_whose_rooms_are_all_cancelled_still_finds_them(see, job):
    RoomFactory(job=job, name="Dropped", cancelled=True)
    assert "state=cancelled" in see().content.decode()


# Who sees what


@pytest.mark.parametrize("role", Role)
def test_everyone_in_the_shop_sees_the_same_wall(client, shop, job, role):
    RoomFactory(job=job, name="Den", stage=9)
    client.force_login(MemberFactory(shop=shop, role=role.value).user)
    assert tags(client.get(reverse("rooms"), {"view": "wall"})) == [("Den, stage 9 trim, in hand", "hatched", [], 9)]


@pytest.mark.parametrize("view", ROOM_BY_ROOM)
def test_another_shops_rooms_and_jobs_are_nowhere_on_the_page(see, job, view):
    RoomFactory(job=job, name="Mine")
    theirs = RoomFactory(name="Theirs", waits_for="them", job__name="Their house", job__number="T-1")
    CardCopyFactory(revision=LayoutRevisionFactory(room=theirs))
    LayoutRevisionFactory(room=theirs)
    response = see(view=view)
    assert names(response) == ["Mine"]
    assert "Their" not in response.content.decode()
    assert [entry["count"] for entry in response.context["totals"] if entry["key"] in ("waits", "old_card")] == [0, 0]


def test_another_shops_job_and_an_absent_one_answer_alike(see, job):
    RoomFactory(job=job, name="Mine")
    theirs = RoomFactory().job_id
    absent = theirs + 1000
    assert [note.replace(str(theirs), "n") for note in notes(see(job=theirs))] == [
        note.replace(str(absent), "n") for note in notes(see(job=absent))
    ]
    assert names(see(job=theirs)) == ["Mine"]


def test_the_screen_is_read_only(client, shop):
    client.force_login(MemberFactory(shop=shop).user)
    for method in ("post", "put", "patch", "delete"):
        assert getattr(client, method)(reverse("rooms")).status_code == 405


def test_without_signing_in_there_is_no_wall(client, job):
    RoomFactory(job=job)
    response = client.get(reverse("rooms"))
    assert response.status_code == 302
    assert response.url.startswith(reverse("sign_in"))


def test_a_name_is_text_whatever_stands_in_it(see, job):
    RoomFactory(job=job, name='"><img src=x onerror=alert(1)>', waits_for="<script>")
    for view in ROOM_BY_ROOM:
        page = see(view=view).content.decode()
        assert "<img src=x" not in page
        assert "<script>" not in page.split("<main", 1)[1].split("</main>")[0]


# As many questions to the database for many rooms as for few


def fill_shop(shop, jobs, rooms_each):
    for _ in range(jobs):
        job = JobFactory(shop=shop)
        for _ in range(rooms_each):
            room = RoomFactory(job=job, waits_for="GC")
            MeasurementSetFactory(room=room, readings={Subject.DOOR: inches(200), Subject.LEFT: inches(100)})
            CardCopyFactory(revision=LayoutRevisionFactory(room=room))
            LayoutRevisionFactory(room=room)
            FixtureCountFactory(room=room)


@pytest.mark.parametrize("view", ROOM_BY_ROOM)
def test_more_rooms_take_no_more_queries(see, shop, view, django_assert_max_num_queries):
    taken = []
    for jobs, rooms_each in ((1, 2), (4, 5)):
        fill_shop(shop, jobs, rooms_each)
        with django_assert_max_num_queries(MOST_QUERIES) as queried:
            see(view=view, state="open", flag="waits", q="Room", sort="-lights")
        taken.append(len(queried))
    assert taken[0] == taken[1]
