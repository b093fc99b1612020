"""The kinds of long work there are. Each part above registers its own; nothing here knows what any of them does."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of work.

    run(work, progress): does it, and may be begun again at any time: steps done before are left as they are, or done
    over with the same outcome. `progress.done` says how far it was. Returns what came out, as plain values, or None.
    may: the action (projects.platform.permissions) that lets a person see, cancel and resume it.
    where(work): the address to go to when it is done; empty for none.
    """

    name: str
    run: Callable[..., dict[str, Any] | None]
    may: str
    where: Callable[..., str]


KINDS: dict[str, Kind] = {}


def kind(name, *, may, where=lambda work: ""):
    """Register a function as a kind of work. In an app, do it in a module that its AppConfig.ready imports."""

    def register(run):
        KINDS[name] = Kind(name, run, may, where)
        return run

    return register
