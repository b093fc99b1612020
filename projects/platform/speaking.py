"""On whose behalf records are read and written right now, and for which shop. Knows no record.

Set where a request, a piece of long work or a command begins, and taken back where it ends. What keeps the history of
changes and what keeps shops apart in the database both ask here.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar, Token
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Speaker:
    """Ids, None where there is none. request: the request's id; via: page, api, work, command, client or admin."""

    shop: int | None = None
    member: int | None = None
    user: int | None = None
    request: str = ""
    via: str = ""


NOBODY = Speaker()
_NOW: ContextVar[Speaker] = ContextVar("who is speaking", default=NOBODY)

# Called with the new speaker whenever it changes: a database that has to be told is told here.
LISTENERS: list[Callable[[Speaker], None]] = []


def speaker() -> Speaker:
    return _NOW.get()


def speak(**who) -> Token[Speaker]:
    """From now on it is so: speak(shop=5, member=7). What isn't named stays. Returns what `fall_silent` takes."""
    token = _NOW.set(replace(_NOW.get(), **who))
    _tell()
    return token


def fall_silent(token: Token[Speaker]) -> None:
    _NOW.reset(token)
    _tell()


@contextmanager
def speaking(**who) -> Iterator[None]:
    token = speak(**who)
    try:
        yield
    finally:
        fall_silent(token)


def _tell() -> None:
    for listener in LISTENERS:
        listener(_NOW.get())
