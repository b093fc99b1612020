"""Everything stored that can be worked out anew, worked out anew and compared. Nothing is changed."""

import hashlib
from dataclasses import dataclass, field

from projects.keeping.hooks import RECOMPUTED

MOST_TOLD = 20


@dataclass(slots=True)
class Outcome:
    """Of one kind of stored result. digest: of all that came out, so that two runs can be compared by one line."""

    kind: str
    stored: int
    compared: int = 0
    other: list[str] = field(default_factory=list)
    others: int = 0
    digest: str = ""


def again(most=None) -> list[Outcome]:
    """most: so many of each kind; None: all."""
    return [_again(kind, most) for kind in sorted(RECOMPUTED)]


def _again(kind, most):
    how_many, anew = RECOMPUTED[kind]
    told, seen = Outcome(kind, how_many()), hashlib.sha256()
    for one in anew(most):
        told.compared += 1
        seen.update(one.digest.encode())
        if not one.same:
            told.others += 1
            if len(told.other) < MOST_TOLD:
                told.other.append(one.what)
    told.digest = seen.hexdigest()
    return told
