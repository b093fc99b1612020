"""The room's page: what a person chooses is kept, told wrong by its box, and never lost to another's save."""

import html

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from layout.engine.lengths import inches
from layout.models import Draft
from projects.platform.permissions import Role
from tests.factories import FixtureTypeFactory, JobFactory, MemberFactory, RoomFactory, ShopFactory
from tests.shops import build_room, issue, on_page, people_of, practice_room, sign_in, tape_room

MOST_QUERIES = 25


@pytest.fixture
def shop(db):
    return ShopFactory()


@pytest.fixture
def people(shop):
    return people_of(shop)


@pytest.fixture
def room(shop):
    return practice_room(shop)


@pytest.fixture
def lead(client, people):
    return sign_in(client, people[Role.CREW_LEAD])


def address(room):
    return reverse("room", args=[room.pk])


def boxes(client, room):
    return on_page(client.get(address(room)), "rows")


def keep(client, room, **changes):
    return client.post(address(room), boxes(client, room) | changes)


def stored(room):
    return Draft.objects.of(room.shop_id).get(room=room)


def text(answer):
    return html.unescape(answer.content.decode())


# Looking


@pytest.mark.parametrize("role", Role)
def test_everyone_of_the_shop_sees_the_plan_and_the_sum(client, people, room, role):
    page = text(sign_in(client, people[role]).get(address(room)))
    assert "<svg" in page and "138 1/2" in page and "59 1/4" in page


def test_who_may_not_lay_out_has_no_button_to_keep_or_issue(client, people, room):
    page = text(sign_in(client, people[Role.VIEWER]).get(address(room)))
    assert "Issue revision" not in page and "Keep these numbers" not in page


def test_a_room_with_nothing_taped_says_what_to_tape(lead, shop):
    FixtureTypeFactory(shop=shop)
    page = lead.get(address(RoomFactory(job=JobFactory(shop=shop))))
    assert page.status_code == 200
    assert "was not taped" in text(page)


# Keeping


def test_chosen_numbers_are_kept(lead, room):
    answer = keep(lead, room, end_setback="20", row_setback="1'-6\"", rows="3", spacing_limit="60")
    assert (answer.status_code, answer.url) == (302, address(room))
    draft = stored(room)
    assert (draft.end_setback, draft.row_setback, draft.rows) == (inches(20), inches(18), 3)
    assert draft.spacing_limit == inches(60)


def test_the_first_who_keeps_numbers_makes_the_draft(lead, shop):
    FixtureTypeFactory(shop=shop, key="light_4_new")
    room = build_room(JobFactory(shop=shop))
    assert keep(lead, room, end_setback="20").status_code == 302
    assert stored(room).end_setback == inches(20)


def test_a_second_first_draft_is_shown_beside_the_first(lead, shop):
    """Two people open a room nobody laid out; both keep. The second sees both."""
    FixtureTypeFactory(shop=shop, key="light_4_new")
    room = build_room(JobFactory(shop=shop))
    opened = boxes(lead, room)
    keep(lead, room, end_setback="20")
    answer = lead.post(address(room), opened | {"end_setback": "30"})
    assert answer.status_code == 409
    assert stored(room).end_setback == inches(20)


def test_keeping_makes_no_revision(lead, room):
    keep(lead, room, end_setback="20")
    assert room.revisions.count() == 0


def test_locked_numbers_are_kept_from_the_zero_corner(lead, room):
    answer = keep(lead, room, mode_along="locked", typed_along="12, 75 1/4, 138 1/2")
    assert answer.status_code in (302, 422)
    if answer.status_code == 422:  # the box appears once locked is chosen
        answer = lead.post(address(room), on_page(answer, "rows") | {"typed_along": "12, 75 1/4, 138 1/2"})
    assert stored(room).typed("along") == (inches(12), inches("75 1/4"), inches("138 1/2"))


def test_another_shops_light_can_not_be_chosen(lead, room):
    theirs = FixtureTypeFactory()
    answer = keep(lead, room, light_type=theirs.pk)
    assert answer.status_code == 422
    assert stored(room).light_type != theirs


# Who may


@pytest.mark.parametrize("role", [Role.CREW, Role.VIEWER])
def test_crew_and_viewers_keep_nothing(client, people, room, role):
    answer = keep(sign_in(client, people[role]), room, end_setback="20")
    assert answer.status_code == 403
    assert stored(room).end_setback == inches(12)


def test_a_strangers_room_is_not_here(client, room):
    sign_in(client, MemberFactory())
    assert client.get(address(room)).status_code == 404
    assert client.post(address(room), {"rows": "3"}).status_code == 404
    assert stored(room).rows == 2


def test_the_page_knows_no_other_verb(lead, room):
    assert lead.delete(address(room)).status_code == 405


# What can not be read


@pytest.mark.parametrize(
    ("box", "typed", "says"),
    [
        ("end_setback", "12-6", "12'-6"),  # in an inch shop 12-6 may be 12 ft 6 in or 12 6/16
        ("end_setback", "12.6.2", "12.6.2"),
        ("end_setback", "0", "Zero"),
        ("end_setback", "-12", "without the minus"),
        ("end_setback", "60'", "over the most allowed"),
        ("end_setback", "1/8", "under the least allowed"),
        ("end_setback", "", "needed"),
        ("end_setback", "١٢", "0 to 9"),
        ("end_setback", "1" * 65, "64 characters"),
        ("spacing_limit", "5", "under the least allowed"),
        ("rows", "0", "Enter 1 or more"),
        ("rows", "41", "Enter 40 or less"),
        ("rows", "two", "whole number"),
        ("speaker_gaps", "1;2", "commas"),
        ("speaker_gaps", "0", "starts at 1"),
    ],
)
def test_a_box_that_can_not_be_read_says_so_and_keeps_what_was_typed(lead, room, box, typed, says):
    answer = keep(lead, room, **{box: typed})
    assert answer.status_code == 422
    assert says in " ".join(answer.context["form"].errors[box])
    assert says in text(answer)
    assert answer.context["form"][box].value() == typed
    if typed:
        assert f'value="{typed}"' in text(answer)
    assert (stored(room).end_setback, stored(room).rows) == (inches(12), 2)


@pytest.mark.parametrize("typed", ["12, 1000'", "12, x", "12-6"])
def test_a_typed_position_no_room_has_is_refused_by_its_box(lead, room, typed):
    answer = keep(lead, room, mode_along="locked", typed_along=typed)
    assert answer.status_code == 422
    assert "typed_along" in answer.context["form"].errors


def test_both_readings_of_a_length_are_offered(lead, room):
    """12-6 in an inch shop: 12 ft 6 in, or 12 6/16 in."""
    page = text(keep(lead, room, spacing_limit="12-6"))
    assert "12'-6\"" in page and "12 6/16 in" in page


def test_pressing_a_reading_settles_it(lead, room):
    answer = keep(lead, room, row_setback="1-6")
    assert answer.status_code == 422
    posted = on_page(answer, "rows") | {"take:row_setback": "1'-6\""}
    assert lead.post(address(room), posted).status_code == 302
    assert stored(room).row_setback == inches(18)


# Two at once


def test_a_stale_save_shows_both_and_saving_again_goes_through(lead, room):
    opened = boxes(lead, room)
    keep(lead, room, end_setback="20", rows="1")
    answer = lead.post(address(room), opened | {"end_setback": "30"})
    assert answer.status_code == 409
    page = text(answer)
    assert 'value="20"' in page and 'value="30"' in page
    assert stored(room).end_setback == inches(20)  # theirs stands until someone decides
    assert lead.post(address(room), on_page(answer, "end_setback")).status_code == 302
    assert stored(room).end_setback == inches(30)


def test_theirs_can_be_taken_line_by_line(lead, room):
    opened = boxes(lead, room)
    keep(lead, room, end_setback="20", speaker_gaps="1, 2")
    answer = lead.post(address(room), opened | {"end_setback": "30", "row_setback": "16"})
    lead.post(address(room), on_page(answer, "end_setback") | {"end_setback": "20"})
    draft = stored(room)
    assert (draft.end_setback, draft.row_setback) == (inches(20), inches(16))


def test_locked_numbers_of_the_other_person_are_shown_too(lead, room):
    opened = boxes(lead, room)
    answer = keep(lead, room, mode_across="locked", typed_across="20, 57 1/4")
    if answer.status_code == 422:
        lead.post(address(room), on_page(answer, "rows") | {"typed_across": "20, 57 1/4"})
    answer = lead.post(address(room), opened | {"end_setback": "30"})
    assert answer.status_code == 409
    assert "57 1/4" in text(answer)


# Trying without keeping


def preview(client, room, **changes):
    return client.get(reverse("room_preview", args=[room.pk]), boxes(client, room) | changes)


def test_a_number_being_typed_is_drawn_and_not_kept(lead, room):
    """Ends at 20: 150 1/2 - 20 = 130 1/2."""
    answer = preview(lead, room, end_setback="20")
    assert answer.status_code == 200
    assert "130 1/2" in text(answer) and "138 1/2" not in text(answer)
    assert stored(room).end_setback == inches(12)


def test_half_a_number_waits_for_the_rest(lead, room):
    answer = preview(lead, room, end_setback="20 1/")
    assert answer.status_code == 200
    assert "Finish the number" in text(answer)


def test_a_strangers_preview_is_not_here(client, room):
    assert sign_in(client, MemberFactory()).get(reverse("room_preview", args=[room.pk])).status_code == 404


# Databases are asked as often for forty lights as for six


def queries(client, where):
    with CaptureQueriesContext(connection) as asked:
        assert client.get(where).status_code == 200
    return len(asked)


def test_a_large_layout_asks_the_database_no_more_than_a_small_one(lead, room):
    issue(room)
    lead.get(address(room))
    few = queries(lead, address(room))
    draft = stored(room)
    draft.rows, draft.lights_per_row, draft.speaker_gaps = 6, 7, ""
    draft.save()
    for _n in range(3):
        issue(room)
    assert queries(lead, address(room)) == few <= MOST_QUERIES


def test_more_layers_readings_and_counts_ask_no_more(lead, shop):
    room = practice_room(shop)
    room.counts.create(fixture_type=room.draft.light_type, count=6)
    few = queries(lead, address(room))
    for n in range(2, 6):
        room.layers.create(surface="left", position=n, name=f"layer {n}", thickness=inches("1/16"))
    for _n in range(4):
        fixture = FixtureTypeFactory(shop=shop)
        room.counts.create(fixture_type=fixture, count=1)
        tape_room(room, "framing", "166", "93")
    assert queries(lead, address(room)) == few
