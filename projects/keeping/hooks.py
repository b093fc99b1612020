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


def evenly(rows, most):
    """A queryset's rows, or so many of them spread evenly over all, the first and the last among them."""
    count = rows.count()
    if most is None or count <= most:
        yield from rows.iterator(chunk_size=200)
        return
    ids = list(rows.values_list("pk", flat=True))
    picked = {ids[at * (count - 1) // max(most - 1, 1)] for at in range(most)}
    yield from rows.filter(pk__in=picked).iterator(chunk_size=200)


def recomputes(name, how_many):
    """Register a generator `again(most)` of Recomputed under a name."""

    def register(again):
        RECOMPUTED[name] = how_many, again
        return again

    return register
