"""The kinds of entry a phone may send once it has signal again. Each part registers its own."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


class Refused(Exception):
    """The entry can't be taken as it is. The message says why and what to do; the phone keeps what was entered."""


class Conflict(Exception):
    """Somebody else entered another value meanwhile. theirs and mine: plain values shown side by side to the person.

    Keys are words that people read. theirs["version"], where there is one, is what mine would be put over.
    """

    def __init__(self, message, *, theirs, mine):
        super().__init__(message)
        self.theirs, self.mine = theirs, mine


@dataclass(frozen=True, slots=True)
class Entry:
    """A kind of entry.

    may: the action (projects.platform.permissions) a person needs.
    apply(member, room, data, base, at, file): does it in the transaction that also keeps the entry's key, and returns
    plain values (the record's new version among them as 'version'). base: the version the phone last saw, 0 for none.
    at: when it was entered by the server's reckoning. file: the uploaded photo, or None. Raises Refused, Conflict.
    title: what a person calls it. both(data, theirs): the data that keeps both values, where there is such a thing.
    """

    name: str
    may: str
    apply: Callable[..., dict[str, Any]]
    title: str = ""
    both: Callable[[dict[str, Any], dict[str, Any]], dict[str, Any]] | None = None


ENTRIES: dict[str, Entry] = {}


def entry(name, *, may, title="", both=None):
    """Register a function as a kind of entry. In an app, do it in a module that its AppConfig.ready imports."""

    def register(apply):
        ENTRIES[name] = Entry(name, may, apply, title or name, both)
        return apply

    return register
