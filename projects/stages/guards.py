"""What a room must have before it may enter or leave a stage. Each part registers what it knows.

A guard is asked for many rooms at once, so that two hundred rooms cost as many queries as one.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from projects.jobs.models import Room

ENTER, LEAVE = "enter", "leave"


@dataclass(frozen=True, slots=True)
class Guard:
    """One thing that a stage asks for.

    key: its name in stored results. stage: a stage's key in fixtures/stages.json; at: ENTER or LEAVE.
    title: what it asks for, in plain words. safety: whoever passes it marks nothing done by that.
    missing(rooms): for each room id that falls short, what is missing and what to do, in plain words.
    page: the name of the room's page where it is answered (it takes room_id), or none.
    hold: the hold point it stands for; a job whose template doesn't hold there is not asked.
    said: the question of fixtures/stages.json that a person answers by name, when that is all it asks.
    """

    key: str
    stage: str
    at: str
    title: str
    missing: Callable[[Sequence[Room]], dict[int, str]]
    safety: bool = False
    page: str = ""
    hold: str = ""
    said: str = ""


GUARDS: dict[str, Guard] = {}


def guard(key, *, stage, at, title, safety=False, page="", hold="", said=""):
    """Register a function as a guard. In an app, do it in a module that its AppConfig.ready imports."""

    def register(missing):
        GUARDS[key] = Guard(key, stage, at, title, missing, safety, page, hold, said)
        return missing

    return register
