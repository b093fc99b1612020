"""What stands for a row in a shop's file: its place among the rows of its table, by age. Ids stay at home.

Where a text that is not kept word for word holds ids (a saved view's address, a draft as it was), its column has two
functions here that put numbers in their place and ids back.
"""

from collections.abc import Callable
from dataclasses import dataclass, field


@dataclass(slots=True)
class Numbers:
    """{table's label: {id: number}} on the way out; {label: {number: id}} on the way in."""

    known: dict[str, dict[int, int]] = field(default_factory=dict)

    def of(self, label: str, one: int | None) -> int | None:
        """None for none, and for a row that is no more."""
        return None if one is None else self.known[label].get(one)


# {"app.Model.column": (out(value, numbers), back(value, numbers))}
HELD_IDS: dict[str, tuple[Callable, Callable]] = {}

# {"app.Model.column": (out(row's id) -> value, back(row's id, value) -> what is stored)}: what is reckoned from other
# rows by their ids, and so is reckoned anew once all of them are in.
RECKONED: dict[str, tuple[Callable, Callable]] = {}


def holds_ids(column: str, out: Callable, back: Callable | None = None):
    """back: the same function unless another is given."""
    HELD_IDS[column] = out, back or out


def is_reckoned(column: str, out: Callable, back: Callable):
    RECKONED[column] = out, back
