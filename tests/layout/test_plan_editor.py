"""The plan editor's page without scripts, its live answer, and its save: the same form, the same rules."""

import json
from html.parser import HTMLParser

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from layout.engine.marks import Kind
from layout.engine.pins import Line, Moved, Pin
from layout.models import Draft
from layout.services import draft_of
from projects.ceilings.services import ceiling_of
from projects.platform.permissions import Role
from tests.factories import ShopFactory
from tests.shops import fresh, issue, on_page, people_of, practice_room, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    shop = ShopFactory()
    shop.people = people_of(shop)
    return shop


@pytest.fixture
def room(shop):
    """138 1/2 along by 65 1/4 across at its edge: columns at 12, 69 1/4 and 126 1/2, rows at 18 and 47 1/4."""
    return practice_room(shop)


@pytest.fixture
def lead(client, shop):
    return sign_in(client, shop.people[Role.CREW_LEAD])


def page(client, room):
    return client.get(reverse("plan", args=[room.pk]))


def boxes(client, room, **typed):
    return on_page(page(client, room), "draft_version") | typed


def live(client, room, **typed):
    answer = client.post(reverse("plan_live", args=[room.pk]), boxes(client, room, **typed))
    assert answer.status_code == 200
    return answer.json()


def keep(client, room, **typed):
    return client.post(reverse("plan", args=[room.pk]), boxes(client, room, **typed) | {"keep": "1"})


def held(room):
    return draft_of(fresh(room)).held()


def test_the_page_shows_the_plan_and_a_box_for_every_line_and_mark(lead, room):
    shown = on_page(page(lead, room), "draft_version")
    assert {"column-1", "column-2", "column-3", "row-1", "row-2"} <= set(shown)
    assert {"moved-light-1-1-along", "moved-light-2-3-across", "moved-speaker-1-1-along"} <= set(shown)
