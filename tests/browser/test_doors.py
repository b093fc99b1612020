"""The owner asks somebody in, who comes in with a password of their own; a desk left open asks for the owner's."""

import time

import pytest
from django.contrib.sessions.models import Session

from projects.doors import sessions
from projects.doors.links import invitation_path, reset_path
from projects.doors.models import Invitation
from projects.platform.permissions import Role

pytestmark = pytest.mark.browser


def test_somebody_is_asked_in_and_comes_in(shop, person, width, facts):
    owner = person(width=width).signs_in("owner@shop.example")
    left_open(shop.people["owner"].user)
    owner.goes_to("/shop/people/").types("Name", "Ash Reed").types("E-mail", "ash@shop.example")
    owner.chooses("Role", "Crew").presses("Send the invitation", status=403)
    owner.sees("Your password, once more").types("Your password", facts.password).presses("Go on")
    owner.sees("Asked in, not here yet")
    link = invitation_path(Invitation.objects.of(shop).get())
    ash = person(width=width).goes_to(link).types("New password", "short").presses("Come in", status=422)
    ash.types("New password", "plumb-and-true-9").presses("Come in")
    assert shop.members.get(user__email="ash@shop.example").role == Role.CREW
    person(width=width).goes_to(link, status=410).sees("This link is over")


def left_open(user):
    """Every session of this person as it is after an hour without a click."""
    for session in Session.objects.all():
        kept = session.get_decoded()
        if kept.get("_auth_user_id") == str(user.pk):
            session.session_data = Session.objects.encode(kept | {sessions.TYPED: int(time.time()) - 3600})
            session.save()


def test_ones_own_password_is_a_press_away_on_a_phone_too(shop, person, width):
    crew = person(width=width, member=shop.people["crew"]).goes_to("/rooms/")
    crew.presses("Sam Crew").sees("Change password")


def test_pages_of_the_doors_are_read_and_pressed_at_any_width(shop, person, width):
    owner = shop.people["owner"]
    someone = person(width=width, member=owner)
    for address in ("/password/", "/password/second/", "/step-up/"):
        someone.goes_to(address)
    someone.goes_to("/password/second/").presses("Set it up").sees("Show it to the phone")
    outside = person(width=width)
    outside.goes_to("/sign-in/").presses("Password lost?").types("E-mail", "lee@shop.example")
    outside.presses("Send the letter").sees("a letter is on its way")
    outside.goes_to(reset_path(owner.user))
