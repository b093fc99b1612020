"""Layouts that differ in kind are shown with their numbers, and one press takes one."""

import pytest
from django.urls import reverse

from layout.services import draft_of
from projects.platform.permissions import Role
from tests.factories import MemberFactory, ShopFactory
from tests.shops import forms_of, fresh, practice_room, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    return practice_room(ShopFactory())


@pytest.fixture
def lead(client, room):
    return sign_in(client, MemberFactory(shop=room.shop, role=Role.CREW_LEAD.value))


def offered(client, room):
    page = client.get(reverse("other_layouts", args=[room.pk]))
    take = reverse("take_way", args=[room.pk])
    return page, [boxes for action, boxes in forms_of(page) if action == take]


def test_each_has_its_numbers_and_a_drawing(lead, room):
    page, forms = offered(lead, room)
    words = page.content.decode()
    assert len(forms) >= 2 and words.count("<svg") == len(forms)
    assert "off the wall" in words and "in a row" in words


def test_one_is_taken_with_a_reason_and_put_back_with_one_press(lead, room):
    _page, forms = offered(lead, room)
    before = draft_of(room).mode_along
    lead.post(reverse("take_way", args=[room.pk]), forms[-1] | {"reason": "the owner likes it"})
    way = room.ways_taken.get()
    assert way.kind.startswith("choice_") and way.reason == "the owner likes it"
    lead.post(reverse("put_way_back", args=[room.pk]), {"version": draft_of(fresh(room)).version})
    after = draft_of(fresh(room))
    assert after.mode_along == before and after.speaker_gaps == "1,2"


def test_a_viewer_reads_them_and_takes_none(client, room):
    viewer = sign_in(client, MemberFactory(shop=room.shop, role=Role.VIEWER.value))
    page, forms = offered(viewer, room)
    assert page.status_code == 200 and not forms
    assert viewer.post(reverse("take_way", args=[room.pk])).status_code == 403


def test_a_room_nobody_taped_says_why_nothing_is_shown(lead, room):
    room.measurement_sets.all()[0].readings.all().delete()
    for visit in room.measurement_sets.all():
        visit.readings.all().delete()
    page, forms = offered(lead, room)
    assert not forms and "not taped" in page.content.decode()
