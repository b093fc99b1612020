"""Which shop's rows the database may hand out right now: told to it beside who is speaking. Knows no record.

The second of two walls: the first is that every query names its shop (projects.platform.tenancy). Only a database
that holds rows apart by itself listens (projects.walls); for any other these are words to nobody.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from projects.platform.speaking import speaker

SHOP = "shop"  # the rows of the shop that is spoken for
EVERY = "every"  # platform staff, commands, and what was asked of every shop by name
DOOR = "door"  # a request before its shop is known: who may come in is looked up, and no more
NOTHING = ""

_WIDE: ContextVar[bool] = ContextVar("rows of every shop are asked for", default=False)
_commands = [False]  # whether this process carries out commands: whoever may run one may read the database anyway


def wall() -> str:
    """SHOP, EVERY, DOOR or NOTHING."""
    now = speaker()
    if _WIDE.get() or now.via == "admin" or (now.via == "command" and now.shop is None):
        return EVERY
    if now.shop is not None:
        return SHOP
    if now.request:
        return DOOR
    return EVERY if _commands[0] else NOTHING


@contextmanager
def every_shop() -> Iterator[None]:
    """Inside, the database hands out the rows of every shop."""
    token = _WIDE.set(True)
    try:
        yield
    finally:
        _WIDE.reset(token)


def this_process_runs_commands(yes: bool) -> None:
    """manage.py says so; a web server's process takes it back: there, what speaks for no shop gets nothing."""
    _commands[0] = yes
