"""By which numbers the texts that are kept word for word know a shop's rooms. Those texts are never written again.

A sent bid names its rooms by their ids where it was sent. Where a shop came in from elsewhere its rooms have other ids,
and the digest, which stands on the client's paper too, vouches for the text as it was: so the numbers are read anew.
"""

from collections.abc import Callable, Iterable

from projects.keeping.models import KnownAs

# (model, columns, rooms(text) -> the numbers by which the text knows rooms). Registered by who writes such texts.
NAMING: list[tuple[type, tuple[str, ...], Callable[[str], Iterable[int]]]] = []


def names_rooms(model, *columns):
    """Register a function from a kept text to the rooms' numbers in it."""

    def register(rooms):
        NAMING.append((model, columns, rooms))
        return rooms

    return register


def rooms_here(shop_id) -> dict[int, int]:
    """{number in the shop's texts: the room's id here}, of those that differ. Empty for a shop that began here."""
    return dict(KnownAs.objects.filter(shop_id=shop_id).values_list("number", "room_id"))


def with_rooms_here(shop_id, rows, name):
    """Plain rows read from a kept text, each naming a room in `name`, with the rooms' ids here."""
    if here := rooms_here(shop_id):
        for row in rows:
            row[name] = here.get(row[name], row[name])


def numbers_in_texts(shop_id) -> set[int]:
    """All numbers by which the shop's texts know rooms, also of rooms that are no more."""
    found: set[int] = set()
    for model, columns, rooms in NAMING:
        for texts in model._base_manager.filter(shop_id=shop_id).order_by("pk").values_list(*columns).iterator():
            for text in texts:
                if text:
                    found.update(rooms(text))
    return found
