"""A layout is issued: from what was taped to numbers on a card. Common practice, no source; every number by hand.

The room. Framing 166 x 93 in. Furring 2 in and a gap of 6 in on each of four walls, so 8 in a side:
166 - 16 = 150 and 93 - 16 = 77 by the sum. The cloud was built 150 1/2 x 77 1/4: 1/2 and 1/4 in more.
Lights 12 in from each end: 12, then 150 1/2 - 12 = 138 1/2, the middle one at 75 1/4. Speakers half way:
(12 + 75 1/4) / 2 = 43 5/8 and (75 1/4 + 138 1/2) / 2 = 106 7/8. Rows 18 in off the wall: 18 and 77 1/4 - 18 = 59 1/4.
"""

import threading

import pytest
from django.db import connection
from django.urls import reverse

from layout.engine.lengths import inches
from layout.engine.marks import Kind
from layout.models import Draft, LayoutRevision
from layout.services import NothingToPrint, issue_revision
from projects.platform.permissions import Role
from reports.documents.sheet import Datum
from reports.sheets import card_sheet
from tests.factories import DraftFactory, FixtureTypeFactory, JobFactory, MemberFactory, RoomFactory, ShopFactory
from tests.shops import build_room, draft_room, fresh, issue, on_page, people_of, practice_room, sign_in, tape_room


@pytest.fixture
def shop(db):
    return ShopFactory()


@pytest.fixture
def people(shop):
    return people_of(shop)


@pytest.fixture
def room(shop):
    return practice_room(shop)


def places(revision, kind, way):
    return sorted({getattr(mark, way) for mark in revision.marks.all() if mark.kind == kind.value})


def each(*texts):
    return [inches(text) for text in texts]


def big(row):
    return [column.big for column in row.columns]


# From records to marks


def test_the_room_by_hand(room):
    revision = issue(room)
    assert places(revision, Kind.LIGHT, "along") == each("12", "75 1/4", "138 1/2")
    assert places(revision, Kind.LIGHT, "across") == each("18", "59 1/4")
    assert places(revision, Kind.SPEAKER, "along") == each("43 5/8", "106 7/8")
    assert places(revision, Kind.SPEAKER, "across") == each("18", "59 1/4")
    assert (revision.number, revision.lights, revision.speakers) == (1, 6, 4)


def test_until_the_ceiling_is_taped_the_sum_rules(shop):
    """150 x 77: 12, 75, 138 and 18, 59."""
    revision = issue(practice_room(shop, finished=None))
    assert places(revision, Kind.LIGHT, "along") == each("12", "75", "138")
    assert places(revision, Kind.LIGHT, "across") == each("18", "59")


@pytest.mark.parametrize(
    ("lies", "left", "last"),
    [
        ("left", ["19 1/2", "51 1/8", "82 3/4", "114 3/8", "146"], "20"),  # 8 - 1/2 = 7 1/2 left of the cloud's edge
        ("right", ["20", "51 5/8", "83 1/4", "114 7/8", "146 1/2"], "19 1/2"),  # 8
        ("split", ["19 3/4", "51 3/8", "83", "114 5/8", "146 1/4"], "19 3/4"),  # 8 - 1/4
        ("unknown", ["19 3/4", "51 3/8", "83", "114 5/8", "146 1/4"], "19 3/4"),  # split until someone looks
    ],
)
def test_framing_numbers_close_on_the_framing_whichever_wall_holds(shop, lies, left, last):
    """The last mark and the last to wall are 166 together; the marks on the ceiling do not move."""
    room = practice_room(shop, held_left_right=lies)
    revision = issue(room)
    sheet = card_sheet(revision, fresh(room), Datum.FRAMING)
    assert (big(sheet.along), sheet.along.last) == (left, last)
    assert places(revision, Kind.LIGHT, "along") == each("12", "75 1/4", "138 1/2")


@pytest.mark.parametrize(
    ("lies", "rows", "last"),
    [
        ("door", ["25 3/4", "67"], "26"),  # 8 - 1/4 = 7 3/4 from the door framing; 93 - 67
        ("far", ["26", "67 1/4"], "25 3/4"),
        ("split", ["25 7/8", "67 1/8"], "25 7/8"),
    ],
)
def test_across_the_rows_the_same(shop, lies, rows, last):
    room = practice_room(shop, held_door_far=lies)
    sheet = card_sheet(issue(room), fresh(room), Datum.FRAMING)
    assert (big(sheet.across), sheet.across.last) == (rows, last)


@pytest.mark.parametrize(("lies", "first", "last"), [("left", "20", "19 1/2"), ("right", "19 1/2", "20")])
def test_pulled_from_the_right_wall_it_is_the_right_walls_offset(shop, lies, first, last):
    """The right edge stands 8 in off the framing when the difference lies left, 7 1/2 when it lies right."""
    room = practice_room(shop, held_left_right=lies, zero_x="right")
    sheet = card_sheet(issue(room), fresh(room), Datum.FRAMING)
    assert (big(sheet.along)[0], sheet.along.last) == (first, last)


@pytest.mark.parametrize(
    ("lies", "left", "last"),
    [
        ("right", ["18", "49 5/8", "81 1/4", "112 7/8", "144 1/2"], "17 1/2"),  # the planned 6 in at the left
        ("left", ["17 1/2", "49 1/8", "80 3/4", "112 3/8", "144"], "18"),  # 5 1/2 in are left of it
    ],
)
def test_from_the_finished_wall_the_gap_that_is_left_is_added(shop, lies, left, last):
    """The finished walls stand 166 - 2 x 2 = 162 apart, whatever the cloud measures: the open gap takes the 1/2 in."""
    room = practice_room(shop, held_left_right=lies)
    sheet = card_sheet(issue(room), fresh(room), Datum.FINISHED)
    assert (big(sheet.along), sheet.along.last) == (left, last)


def test_from_the_ceilings_edge_nothing_is(shop):
    room = practice_room(shop)
    sheet = card_sheet(issue(room), fresh(room), Datum.EDGE)
    assert big(sheet.along) == ["12", "43 5/8", "75 1/4", "106 7/8", "138 1/2"]
    assert big(sheet.across) == ["18", "59 1/4"]


def test_one_furred_wall_moves_the_center_by_half_of_it(shop):
    """Framing 160 x 100, 4 in of furring on the left wall only, no gap: 156 is left, its center 82 off the left."""
    room = RoomFactory(job=JobFactory(shop=shop))
    room.layers.create(surface="left", position=1, name="furring", thickness=inches(4))
    tape_room(room, "framing", "160", "100")
    draft_room(room, rows=1, lights_per_row=1, speaker_gaps="", speaker_type=None)
    sheet = card_sheet(issue(room), fresh(room), Datum.FRAMING)
    assert (big(sheet.along), sheet.along.last) == (["82"], "78")


# What a revision keeps


def test_a_revision_is_not_moved_by_what_is_changed_later(room):
    first = issue(room)
    tape_room(room, "finished", "148", "77")
    Draft.objects.of(room.shop).filter(room=room).update(end_setback=inches(20))
    second = issue(room)
    first.refresh_from_db()
    assert places(first, Kind.LIGHT, "along") == each("12", "75 1/4", "138 1/2")
    assert places(second, Kind.LIGHT, "along") == each("20", "74", "128")
    assert (second.number, second.digest != first.digest) == (2, True)


def test_the_same_room_issued_twice_has_the_same_code(room):
    assert issue(room).digest == issue(room).digest


def test_a_layout_without_a_light_is_not_issued(shop):
    """Forty lights in 2 in of ceiling, which has 32 sixteenths: a number that marks no hole would only lie about."""
    room = build_room(JobFactory(shop=shop), framing=("18", "93"), finished=None, rows_run="left_right")
    draft_room(room, lights_per_row=40, speaker_gaps="")
    with pytest.raises(NothingToPrint):
        issue(room)
    assert room.revisions.count() == 0


# Two numbers off the tape are enough


def test_length_and_width_alone_give_a_layout_and_a_card(client, shop, people):
    """180 x 120 between framing, board 1/2 or 5/8 in a side as the system says: lights 24 in from the ends."""
    FixtureTypeFactory(shop=shop, key="light_4_new")
    sign_in(client, people[Role.CREW_LEAD])
    typed = {"left_right": "180", "door_far": "120", "kind": "framing", "ceiling_system": "board"}
    answer = client.post(reverse("new_room"), typed)
    assert answer.status_code == 302
    page = client.get(answer.url)
    assert "Not squared" in page.content.decode()
    answer = client.post(answer.url, on_page(page, "end_setback") | {"issue": "1"})
    card = client.get(answer.url + "card/").content.decode()
    assert "NOT SQUARED" in card and "FRAMING NOT CHECKED" in card
    sheet = card_sheet(LayoutRevision.objects.of(shop).get(), fresh(shop_room(shop)))
    assert not sheet.check.squared and not sheet.framing_checked


def shop_room(shop):
    return LayoutRevision.objects.of(shop).get().room


# Issuing as a page


def post(client, room, name="issue_revision", **data):
    return client.post(reverse(name, args=[room.pk]), data)


@pytest.mark.parametrize("role", [Role.OWNER, Role.ESTIMATOR, Role.CREW_LEAD])
def test_whoever_lays_out_may_issue(client, people, room, role):
    answer = post(sign_in(client, people[role]), room)
    assert answer.url == reverse("revision", args=[room.pk, 1])
    assert room.revisions.get().issued_by == people[role]


@pytest.mark.parametrize("role", [Role.CREW, Role.VIEWER])
def test_crew_and_viewers_may_not(client, people, room, role):
    assert post(sign_in(client, people[role]), room).status_code == 403
    assert room.revisions.count() == 0


def test_a_strangers_room_is_not_here(client, room):
    assert post(sign_in(client, MemberFactory()), room).status_code == 404
    assert room.revisions.count() == 0


def test_issuing_is_posted(client, people, room):
    assert sign_in(client, people[Role.OWNER]).get(reverse("issue_revision", args=[room.pk])).status_code == 405


def test_what_is_on_the_screen_is_kept_and_issued_at_once(client, people, room):
    sign_in(client, people[Role.OWNER])
    boxes = on_page(client.get(reverse("room", args=[room.pk])), "end_setback")
    answer = post(client, room, "room", **boxes | {"end_setback": "20", "issue": "1"})
    assert answer.url == reverse("revision", args=[room.pk, 1])
    assert places(room.revisions.get(), Kind.LIGHT, "along") == each("20", "75 1/4", "130 1/2")


def test_a_room_that_can_not_be_laid_out_says_why_and_issues_nothing(client, people, shop):
    room = RoomFactory(job=JobFactory(shop=shop))
    DraftFactory(room=room)
    answer = post(sign_in(client, people[Role.OWNER]), room)
    assert answer.url == reverse("room", args=[room.pk])
    assert "was not taped" in client.get(answer.url).content.decode()
    assert room.revisions.count() == 0


def test_a_shop_without_a_light_is_sent_to_its_catalog(client, people, shop):
    room = build_room(JobFactory(shop=shop))
    answer = post(sign_in(client, people[Role.OWNER]), room)
    assert client.get(answer.url).url == reverse("fixture_types")
    assert "Add a light type first" in client.get(reverse("fixture_types")).content.decode()


# Two at once


def at_once(work, times):
    """Run `work` in threads that start together; what each gave or raised."""
    gate, given = threading.Barrier(times), []

    def run():
        gate.wait()
        try:
            given.append(work())
        except Exception as error:
            given.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run) for _n in range(times)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return given


@pytest.mark.django_db(transaction=True)
def test_two_who_issue_at_once_get_two_numbers():
    room = practice_room(ShopFactory())
    given = at_once(lambda: issue(room).number, 4)
    assert sorted(given, key=str) == [1, 2, 3, 4]
    assert room.revisions.count() == 4


@pytest.mark.django_db(transaction=True)
def test_two_who_issue_a_room_nobody_laid_out_keep_one_draft():
    shop = ShopFactory()
    FixtureTypeFactory(shop=shop)
    room = build_room(JobFactory(shop=shop))
    given = at_once(lambda: issue_revision(fresh(room)).number, 3)
    assert sorted(given, key=str) == [1, 2, 3]
    assert Draft.objects.of(shop).filter(room=room).count() == 1
