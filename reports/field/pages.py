"""The pages of a room on the phone, one row each: linked from the room, and kept for when there is no signal."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from django.urls import reverse

from projects.jobs.models import Room
from projects.platform.permissions import may


@dataclass(frozen=True, slots=True)
class PhonePage:
    """name: the route, which takes room_id. title: what is pressed. may: the action a person needs to be shown it.

    told(rooms): for each room id a few words beneath the title, as "12 of 18 answered"; the same queries for any
    number of rooms. also(room): other addresses the page needs when there is no signal, as pictures.
    """

    name: str
    title: str
    may: str
    place: int
    told: Callable[[Sequence[Room]], dict[int, str]] | None = None
    also: Callable[[Room], Sequence[str]] | None = None

    def address(self, room):
        return reverse(self.name, args=[room.pk])


PAGES: dict[str, PhonePage] = {}


def phone_page(name, title, *, may, place, told=None, also=None):
    """Put a page among a room's on the phone. place: smaller comes first. Call it where AppConfig.ready imports."""
    PAGES[name] = PhonePage(name, title, may, place, told, also)


def pages_for(member):
    return [page for page in sorted(PAGES.values(), key=lambda one: one.place) if may(member, page.may)]
