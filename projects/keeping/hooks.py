"""What the parts above add to keeping: each registers in its app's ready. Knows none of them."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Recomputed:
    """One stored result, worked out anew. what: in words, for a person; same: whether the same came out."""

    what: str
    ident: int
    same: bool
    digest: str  # of what came out now


# {what is recomputed: (how many there are, those asked for)}. The second takes `most` (None: all) and yields.
RECOMPUTED: dict[str, tuple[Callable[[], int], Callable[[int | None], Iterator[Recomputed]]]] = {}

# Called before a backup reads the database: what has to be written first (a chain to be closed) is written here.
BEFORE_BACKUP: list[Callable[[], object]] = []


def before_backup(do):
    if do not in BEFORE_BACKUP:
        BEFORE_BACKUP.append(do)
    return do


def recomputes(name, how_many):
    """Register a generator `again(most)` of Recomputed under a name."""

    def register(again):
        RECOMPUTED[name] = how_many, again
        return again

    return register
