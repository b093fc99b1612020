"""What another number off the wall does to the light: one sentence, computed for the room, honest when it reverses."""

import re

import pytest
from django.urls import reverse

from layout.engine.lengths import Style, Tape, inches
from layout.engine.light.measures import Measures
from layout.engine.room import lay_out
from layout.inputs import inputs_of
from layout.light.instead import Asked, Numbers, instead_words, sentence
from layout.light.services import setup_of
from layout.models import Draft
from layout.services import draft_of
from projects.platform.permissions import Role
from tests.layout.lit import lit_room
from tests.shops import fresh, people_of, sign_in

pytestmark = pytest.mark.django_db
TAPE = Tape(Style.INCHES, 16)


def said(room, off, *, along=True):
    draft = draft_of(room)
    layout = lay_out(inputs_of(room, draft))
    return instead_words(room, draft, layout, setup_of(room), Asked(along, inches(off)))


def numbers(near, off, plane=300.0):
    nothing = dict.fromkeys(Measures.__slots__)
    return Numbers(near, near, Measures(**nothing | {"plane_avg_lx": plane, "min_over_avg": 0.4}), inches(off))


def changes(words):
    """The percents of the sentence, in its order: the walls in question, all walls, the plane."""
    return [int(one.replace("−", "-")) for one in re.findall(r"\(([+−]\d+) %\)", words)]


def test_lights_nearer_the_wall_make_it_brighter_and_the_sentence_says_by_how_much():
    """60 degree lobes 12 in off the ends: at 24 in the end walls lose, since a wall's light falls with distance."""
    room = lit_room()
    words = said(room, "24")
    assert words.startswith('24" off the left wall and right wall instead of 12"')
    assert changes(words)[0] < 0
    nearer = said(room, "6")
    assert changes(nearer)[0] > 0 and "other way round" not in nearer


def test_a_number_that_breaks_a_rule_the_layout_keeps_is_answered_with_the_rule():
    """A 4 in hole 2 in off the wall has no edge left; 24 in off breaks nothing."""
    room = lit_room()
    assert "But it breaks a rule: " in said(room, "2")
    assert "breaks a rule" not in said(room, "24")


def test_the_other_axis_speaks_of_the_other_walls():
    words = said(lit_room(), "12", along=False)
    assert "off the door wall and far wall instead of" in words


def test_the_same_number_changes_nothing_and_says_so():
    assert "The lights stay where they are" in said(lit_room(), "12")


def test_where_nearer_is_darker_it_says_so():
    names = ["left wall", "right wall"]
    assert "other way round" in sentence(numbers(100, "24"), numbers(90, "16"), names, TAPE)
    assert "other way round" in sentence(numbers(100, "16"), numbers(110, "24"), names, TAPE)
    assert "other way round" not in sentence(numbers(100, "24"), numbers(110, "16"), names, TAPE)


def test_a_change_too_small_to_see_is_told_as_none():
    assert "stay at" in sentence(numbers(100, "24"), numbers(100.2, "16"), ["left wall", "right wall"], TAPE)


def test_a_room_that_lacks_its_height_says_what_it_takes():
    assert said(lit_room(height=None), "16").startswith("The height was not taped.")


@pytest.fixture
def lead(client):
    room = lit_room()
    client = sign_in(client, people_of(room.shop)[Role.CREW_LEAD])
    client.room = room
    return client


def test_the_rooms_page_answers_in_one_sentence_and_keeps_nothing(lead):
    address = reverse("room", args=[lead.room.pk])
    page = lead.get(address, {"instead-end": "16", "instead-row": ""}).content.decode()
    assert page.count(" off the left wall and right wall instead of ") == 1
    assert Draft.objects.of(lead.room.shop).get(room=lead.room).end_setback == inches(12)
    assert "instead of" not in lead.get(address).content.decode()


def test_a_number_that_is_none_is_told_at_its_box(lead):
    page = lead.get(reverse("room", args=[lead.room.pk]), {"instead-end": "sixteen"}).content.decode()
    assert 'value="sixteen"' in page and "instead of" not in page


def test_unless_it_is_asked_the_rooms_page_makes_no_query_for_light(lead, django_assert_max_num_queries):
    address = reverse("room", args=[lead.room.pk])
    lead.get(address)
    with django_assert_max_num_queries(200) as made:
        lead.get(address)
    assert [query["sql"] for query in made if "light_lightsetup" in query["sql"]] == []
    assert fresh(lead.room)
