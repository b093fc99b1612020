"""A row of lights meets the joists: the room says why, offers ways out, and one press takes one."""

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from layout.engine.room import lay_out
from layout.inputs import inputs_of
from layout.models import WayTaken
from layout.services import draft_of
from projects.platform.permissions import Role
from tests.factories import (
    CeilingFactory,
    FixtureTypeFactory,
    JobFactory,
    JoistRunFactory,
    MemberFactory,
    ShopFactory,
)
from tests.shops import build_room, draft_room, forms_of, fresh, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    """The worked joist case: 19 ft of ceiling, four lights in a 6 3/8 in hole, joists at 10 in and every 16 in on.

    The outer lights are 2 1/2 in from a joist and need 4 7/16 in.
    """
    shop = ShopFactory()
    room = build_room(JobFactory(shop=shop), furring="", gap="0", framing=("228", "120"), finished=None)
    light = FixtureTypeFactory(shop=shop, name="6 in light", cutout=inches("6 3/8"), install="old_work")
    draft_room(
        room, rows=2, lights_per_row=4, end_setback=inches("28 1/2"), row_setback=inches(30), speaker_gaps="",
        speaker_type=None, light_type=light,
    )  # fmt: skip
    JoistRunFactory(
        ceiling=CeilingFactory(room=room, framing="found"), runs="door_far", first=inches(10), first_from="left"
    )
    return fresh(room)


@pytest.fixture
def lead(client, room):
    return sign_in(client, MemberFactory(shop=room.shop, role=Role.CREW_LEAD.value))


def page_of(room):
    return reverse("room", args=[room.pk])


def offered(client, room):
    """Each way's own form, by what stands on its slip."""
    page = client.get(page_of(room))
    take = reverse("take_way", args=[room.pk])
    return page.content.decode(), [boxes for action, boxes in forms_of(page) if action == take]


def press(client, room, boxes, **typed):
    return client.post(reverse("take_way", args=[room.pk]), boxes | typed, follow=True)


def columns(room):
    found = fresh(room)
    return lay_out(inputs_of(found, draft_of(found))).arrangement.columns


def test_the_page_says_what_is_in_the_way_and_how_far_each_way_moves(lead, room):
    """By hand: 28 1/2 in less 26 in is 2 1/2 in; the pair moves in by 4 7/16 - 2 1/2 = 1 15/16 in."""
    page, forms = offered(lead, room)
    assert "joist 2 lies 2 1/2&quot; from it" in page
    assert "Move columns 1 and 4 toward the middle by 1 15/16&quot;" in page
    assert "Both ends 21 9/16&quot; off the wall" in page
    assert len(forms) >= 2


def test_one_press_with_a_reason_takes_a_way_and_keeps_who_and_why(lead, room):
    _page, forms = offered(lead, room)
    answer = press(lead, room, forms[0], reason="the owner wants equal gaps")
    way = WayTaken.objects.get()
    assert (way.kind, way.reason, way.by.role) == ("respace", "the owner wants equal gaps", "crew_lead")
    assert columns(room)[0] == inches("21 9/16")
    assert "Put back what was there" in answer.content.decode()
    assert not offered(lead, room)[1]


def test_a_pair_that_moved_is_held_and_can_be_let_go(lead, room):
    _page, forms = offered(lead, room)
    press(lead, room, forms[1], reason="keeps the middle pair")
    assert columns(room)[0] == inches("30 7/16")
    page = lead.get(page_of(room))
    assert "column 1 at 30 7/16&quot;" in page.content.decode()
    boxes = next(boxes for _action, boxes in forms_of(page) if "end_setback" in boxes)
    lead.post(page_of(room), boxes | {"let_go": "1"})
    assert columns(room)[0] == inches("28 1/2")


def test_without_a_reason_nothing_is_taken(lead, room):
    _page, forms = offered(lead, room)
    answer = press(lead, room, forms[0], reason=" ")
    assert "say in a few words why" in answer.content.decode()
    assert not WayTaken.objects.exists()


def test_one_press_puts_back_what_was_there_and_says_so(lead, room):
    _page, forms = offered(lead, room)
    press(lead, room, forms[0], reason="equal gaps")
    lead.post(reverse("put_way_back", args=[room.pk]), {"version": draft_of(fresh(room)).version})
    assert columns(room)[0] == inches("28 1/2")
    assert [way.kind for way in WayTaken.objects.all()] == ["put_back", "respace"]


def test_after_another_change_there_is_nothing_to_put_back(lead, room):
    _page, forms = offered(lead, room)
    press(lead, room, forms[0], reason="equal gaps")
    page = lead.get(page_of(room))
    boxes = next(boxes for _action, boxes in forms_of(page) if "end_setback" in boxes)
    lead.post(page_of(room), boxes | {"end_setback": "22"})
    version = draft_of(fresh(room)).version
    answer = lead.post(reverse("put_way_back", args=[room.pk]), {"version": version}, follow=True)
    assert "nothing to put back" in answer.content.decode()


def test_a_way_from_a_page_that_is_out_of_date_is_not_taken(lead, room):
    _page, forms = offered(lead, room)
    press(lead, room, forms[1], reason="pair")
    press(lead, room, forms[0], reason="ends")
    assert WayTaken.objects.count() == 1


def test_a_room_that_fits_offers_no_way_out(lead, room):
    room.ceiling.joists.all().delete()
    page, forms = offered(lead, room)
    assert "Ways out" not in page and not forms


def test_no_word_of_a_solver_is_read(lead, room):
    page, _forms = offered(lead, room)
    for word in ("infeasible", "repair", "objective", "violation", "unevenness", "constraint", "compli"):
        assert word not in page.lower(), word


def test_crew_reads_the_ways_and_takes_none(client, room):
    crew = sign_in(client, MemberFactory(shop=room.shop, role=Role.CREW.value))
    page, forms = offered(crew, room)
    assert "Ways out" in page and not forms
    assert crew.post(reverse("take_way", args=[room.pk])).status_code == 403


def test_a_stranger_takes_nothing(client, room):
    stranger = sign_in(client, MemberFactory(role=Role.OWNER.value))
    assert stranger.post(reverse("take_way", args=[room.pk])).status_code == 404


def test_taking_is_never_a_look(lead, room):
    assert lead.get(reverse("take_way", args=[room.pk])).status_code == 405


def test_another_layout_that_stands_on_a_joist_says_so_first_and_comes_after_those_that_fit(lead, room):
    page = lead.get(reverse("other_layouts", args=[room.pk]))
    offers = page.context["offers"]
    assert any(offer.wont_fit for offer in offers)
    assert not any(words.startswith("Won't fit") for offer in offers for words in offer.gives)
    assert [bool(offer.wont_fit) for offer in offers] == sorted(bool(offer.wont_fit) for offer in offers)
    none_fits = "None of these fits" in page.content.decode()
    assert none_fits == all(offer.still for offer in offers)
    assert "Still: Won" not in page.content.decode()
