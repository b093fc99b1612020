"""The crew lead reads the first joist as it really is: within the limits a new card, outside them a question."""

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from layout.models import SiteMove
from layout.services import draft_of
from projects.platform.permissions import Role
from tests.factories import CeilingFactory, FixtureTypeFactory, JobFactory, JoistRunFactory, MemberFactory, ShopFactory
from tests.shops import build_room, draft_room, forms_of, fresh, issue, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    """19 ft, four lights at 42, 90, 138 and 186 in; joists drawn 2 in from the left wall and every 16 in.

    As drawn every light is in the middle of its bay, 8 in from the joists; a 6 3/8 in hole needs 4 7/16 in.
    """
    shop = ShopFactory()
    room = build_room(JobFactory(shop=shop), furring="", gap="0", framing=("228", "120"), finished=None)
    light = FixtureTypeFactory(shop=shop, name="6 in light", cutout=inches("6 3/8"), install="old_work")
    draft_room(
        room, rows=2, lights_per_row=4, end_setback=inches(42), row_setback=inches(30), speaker_gaps="",
        speaker_type=None, light_type=light,
    )  # fmt: skip
    JoistRunFactory(
        ceiling=CeilingFactory(room=room, framing="found"), runs="door_far", first=inches(2), first_from="left"
    )
    issue(fresh(room))
    return fresh(room)


def person(client, room, role, **may):
    return sign_in(client, MemberFactory(shop=room.shop, role=role.value, **may))


@pytest.fixture
def lead(client, room):
    return person(client, room, Role.CREW_LEAD)


def enter(client, room, first, **typed):
    where = reverse("on_site", args=[room.pk])
    boxes = next(boxes for _action, boxes in forms_of(client.get(where)) if "first" in boxes)
    return client.post(where, boxes | {"first": first} | typed)


def card(room, number):
    return reverse("card", args=[room.pk, number])


def marks(room):
    revision = room.revisions.order_by("-number").first()
    return revision, sorted({int(mark.along) for mark in revision.marks.all()})


def test_a_joist_that_meets_no_light_gives_a_new_card_with_the_same_marks(lead, room):
    _first, before = marks(room)
    answer = enter(lead, room, "4 1/2")
    assert answer.url == card(room, 2)
    revision, after = marks(room)
    assert after == before and revision.from_site and "4 1/2" in revision.note


def test_one_press_from_the_reading_to_the_card(lead, room):
    assert lead.get(enter(lead, room, "4 1/2").url).status_code == 200


def test_what_has_to_move_within_the_limit_moves_and_the_card_follows(lead, room):
    """Joists at 6, 22, 38 in: each light is 4 in from one, so all move 4 7/16 - 4 = 7/16 in; 3 in may move."""
    assert enter(lead, room, "6").url == card(room, 2)
    _revision, along = marks(room)
    assert along == [int(inches(f"{at} 7/16")) for at in (42, 90, 138, 186)]


def test_past_the_limit_it_is_asked_and_no_card_is_issued(lead, room):
    """Joists at 10, 26, 42 in run right over the lights: 4 7/16 in to move, and 3 in may."""
    answer = enter(lead, room, "10")
    assert answer.url == reverse("room", args=[room.pk])
    asked = SiteMove.objects.of(room.shop).get()
    assert asked.state == "waits" and "first joist 10" in asked.found
    assert room.revisions.count() == 1
    assert fresh(room).ceiling.joists.get().first == inches(10)
    page = lead.get(answer.url).content.decode()
    assert "Asked from the site" in page and "Yes: issue it" not in page
    assert fresh(room).waits_for


def test_a_zero_limit_always_asks(lead, room):
    draft = draft_of(room)
    draft.columns_may_move = inches(0)
    draft.save()
    enter(lead, room, "6")
    assert SiteMove.objects.of(room.shop).exists()


@pytest.fixture
def asked(client, room):
    enter(person(client, room, Role.CREW_LEAD), room, "10")
    return SiteMove.objects.of(room.shop).get()


def reply(client, room, asked, **typed):
    return client.post(reverse("answer_site_move", args=[room.pk]), {"move": asked.pk} | typed, follow=True)


def test_who_may_approve_says_yes_with_one_press_and_the_layout_is_issued_approved(client, room, asked):
    owner = person(client, room, Role.OWNER, may_approve=True)
    assert "Yes: issue it" in owner.get(reverse("room", args=[room.pk])).content.decode()
    reply(owner, room, asked, yes="1")
    revision, along = marks(room)
    assert revision.number == 2 and revision.approved_by.role == "owner" and revision.from_site
    assert along[0] != int(inches(42))
    assert not fresh(room).waits_for


def test_a_no_needs_a_note_which_the_crew_reads(client, room, asked):
    owner = person(client, room, Role.OWNER, may_approve=True)
    assert "A no needs a note" in reply(owner, room, asked, no="1").content.decode()
    page = reply(owner, room, asked, no="1", note="use the thin lights").content.decode()
    assert "use the thin lights" in page
    assert room.revisions.count() == 1


def test_it_is_answered_once(client, room, asked):
    owner = person(client, room, Role.OWNER, may_approve=True)
    reply(owner, room, asked, yes="1")
    assert "answered already" in reply(owner, room, asked, yes="1").content.decode()
    assert room.revisions.count() == 2


def test_a_yes_to_a_room_that_changed_since_is_no_yes(client, room, asked):
    draft = draft_of(fresh(room))
    draft.version += 1
    draft.save()
    owner = person(client, room, Role.OWNER, may_approve=True)
    assert "changed since this was asked" in reply(owner, room, asked, yes="1").content.decode()
    assert room.revisions.count() == 1


def test_without_the_owners_tick_nobody_says_yes(client, room, asked):
    estimator = person(client, room, Role.ESTIMATOR)
    assert estimator.post(reverse("answer_site_move", args=[room.pk]), {"move": asked.pk}).status_code == 403


def test_crew_that_may_not_lay_out_asks_even_within_the_limit(client, room):
    crew = person(client, room, Role.CREW)
    enter(crew, room, "6")
    assert SiteMove.objects.of(room.shop).count() == 1 and room.revisions.count() == 1


def test_who_may_approve_needs_to_ask_nobody(client, room):
    lead = person(client, room, Role.CREW_LEAD, may_approve=True)
    assert enter(lead, room, "10").url == card(room, 2)


def test_moves_on_site_do_not_add_up_past_the_limit(lead, room):
    """Within 3 in of the card that was decided on, not of the one before: 2 7/16 in is, 3 7/16 in is not."""
    for reading in ("6", "7", "8", "9"):
        enter(lead, room, reading)
    assert room.revisions.order_by("-number").first().marks.get(ident="A1").along == inches("44 7/16")
    assert SiteMove.objects.of(room.shop).count() == 1


def test_a_duct_nobody_knew_of_is_worked_round(lead, room):
    where = reverse("on_site", args=[room.pk])
    boxes = next(boxes for _action, boxes in forms_of(lead.get(where)) if "what" in boxes)
    told = {"what": "duct", "x": "60", "y": "60", "wide": "10", "deep": "24", "above": "on"}
    answer = lead.post(where, boxes | told)
    assert answer.status_code == 302
    assert fresh(room).ceiling.things.count() == 1
    assert room.revisions.count() == 2


def test_a_viewer_reads_the_page_and_enters_nothing(client, room):
    viewer = person(client, room, Role.VIEWER)
    assert viewer.get(reverse("on_site", args=[room.pk])).status_code == 200
    assert viewer.post(reverse("on_site", args=[room.pk])).status_code == 403


def test_the_page_hands_the_phone_what_it_needs_with_no_signal(lead, room):
    """From the left wall, at the zero corner, a number is its own place: 100 parts to a sixteenth, 1600 to an inch."""
    page = lead.get(reverse("on_site", args=[room.pk]))
    phone = page.context["phone"]
    assert phone["site"]["lines"] == tuple(at * 1600 for at in (42, 90, 138, 186))
    assert phone["site"]["joists"]["spacing"] == 16 * 1600
    assert phone["faces"]["left framing"] == {"base": 0, "sign": 1}
    assert phone["faces"]["right framing"] == {"base": 228 * 1600, "sign": -1}
    assert phone["site"]["within"]["pair"] == 48
