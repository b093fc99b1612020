"""A card printed again from an old revision says what that revision stood on, not what was taped since."""

import pytest
from django.urls import reverse

from layout.drawing.values import Datum
from layout.models import LayoutRevision
from projects.jobs.sizes import Squared, squared
from projects.platform.permissions import Role
from reports.queries import revision_with_marks
from reports.sheets import card_sheet
from tests.factories import JobFactory, ShopFactory
from tests.shops import build_room, fresh, issue, people_of, practice_room, sign_in, tape_room

pytestmark = pytest.mark.django_db
FRAMING_WITH_DIAGONALS = {"far": "166", "right": "93", "d1": "190 1/4", "d2": "190 1/4"}


def card(room, number):
    room = fresh(room)
    return card_sheet(revision_with_marks(room, number), room, Datum.FRAMING)


def test_readings_taken_after_the_issue_are_not_on_the_card_of_before():
    room = practice_room(ShopFactory())
    tape_room(room, "framing", "166", "93", height="108", **FRAMING_WITH_DIAGONALS)
    issue(room)
    before = card(room, 1)
    tape_room(room, "framing", "170", "97", height="96", far="170", right="97", d1="195 3/4", d2="195 3/4")
    assert card(room, 1).check == before.check
    assert (card(room, 1).measured, card(room, 1).height) == (before.measured, before.height)
    assert before.height.startswith('framing 108"')


def test_a_revision_that_no_longer_comes_out_as_issued_is_not_printed(client):
    shop = ShopFactory()
    lead = people_of(shop)[Role.CREW_LEAD]
    room = practice_room(shop)
    revision = issue(room)
    LayoutRevision.objects.of(shop).filter(pk=revision.pk).update(result='{"marks":[]}')
    sign_in(client, lead)
    for name in ("card", "takeoff"):
        answer = client.get(reverse(name, args=[room.pk, 1]), follow=True)
        assert "no longer comes out the same" in answer.content.decode()
    where = reverse("print_card", args=[room.pk, 1])
    answer = client.post(where, {"held_by": "R.", "datum": "framing", "paper": "letter"}, follow=True)
    assert answer["Content-Type"].startswith("text/html")


@pytest.mark.parametrize(
    ("readings", "said"),
    [
        ({}, Squared.NOT_TAPED),
        ({"d1": "190 1/4"}, Squared.NOT_TAPED),
        ({"d1": "190 1/4", "d2": "190 1/4"}, Squared.SQUARE),
        ({"d1": "190 1/4", "d2": "191 1/4"}, Squared.OUT),
        ({"leg_a": "36", "leg_b": "48", "leg_c": "60"}, Squared.SQUARE),
        ({"leg_a": "36", "leg_b": "48", "leg_c": "61"}, Squared.OUT),
    ],
)
def test_square_is_what_one_visit_proves(readings, said):
    """166 x 93 has diagonals of 190.28 by Pythagoras; 3-4-5 is Euclid's."""
    room = build_room(JobFactory(shop=ShopFactory()), framing=None, finished=None)
    tape_room(room, "framing", "166", "93", **readings)
    assert squared(fresh(room)) is said


def test_one_diagonal_from_each_of_two_visits_proves_nothing():
    room = build_room(JobFactory(shop=ShopFactory()), framing=None, finished=None)
    tape_room(room, "framing", "166", "93", d1="190 1/4")
    tape_room(room, "framing", "166", "93", d2="190 1/4")
    assert squared(fresh(room)) is Squared.NOT_TAPED


def test_the_diagonals_of_a_plan_prove_nothing():
    room = build_room(JobFactory(shop=ShopFactory()), framing=None, finished=None)
    tape_room(room, "plan", "166", "93", d1="190 1/4", d2="190 1/4")
    assert squared(fresh(room)) is Squared.NOT_TAPED


def test_a_card_of_a_room_taped_out_of_square_says_so():
    room = practice_room(ShopFactory())
    tape_room(room, "framing", "166", "93", d1="190 1/4", d2="192")
    issue(room)
    assert any("out of square" in finding for finding in card(room, 1).findings)
