"""Whether history is being written, and whether what it holds may be touched, here and now. Knows no record."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

ERASE, FLUSH = "erase", "flush"  # a person's name is taken out; the whole database is emptied

_WANTED: ContextVar[bool] = ContextVar("changes are told to the history", default=True)
_MAY: ContextVar[str] = ContextVar("what may be done to the history", default="")


def wanted() -> bool:
    return _WANTED.get()


def may() -> str:
    return _MAY.get()


@contextmanager
def without_history() -> Iterator[None]:
    """What is written inside leaves no entry: for filling a database to measure it, and for copying one whole."""
    token = _WANTED.set(False)
    try:
        yield
    finally:
        _WANTED.reset(token)


@contextmanager
def allowed(what: str) -> Iterator[None]:
    """Inside, the history itself may be touched in this one way: ERASE or FLUSH."""
    token = _MAY.set(what)
    try:
        yield
    finally:
        _MAY.reset(token)
