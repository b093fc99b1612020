"""Which items of a checklist bear on a room, from what is known of it. Knows no answers, no prices and no Django."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from projects.catalogue.table_values import ChecklistItem

EVERYWHERE = "all"


class Bearing(StrEnum):
    YES = "yes"
    ASK = "ask"  # it turns on something nobody has entered: the crew decides on site
    NO = "no"


@dataclass(frozen=True, slots=True)
class Tailored:
    """An item and whether it bears on the room. turns_on: the conditions that decide it; empty for every room."""

    item: ChecklistItem
    bearing: Bearing
    turns_on: tuple[str, ...]


def tailored(items: Iterable[ChecklistItem], known: Mapping[str, bool]) -> tuple[Tailored, ...]:
    """Every item in order: none is dropped, and what is not known is asked, never assumed away.

    Args: known: conditions that were entered (lights, grid, retrofit …), true or false; absent means not known.
    """
    return tuple(_tailor(item, known) for item in items)


def _tailor(item: ChecklistItem, known: Mapping[str, bool]) -> Tailored:
    if EVERYWHERE in item.applies:
        return Tailored(item, Bearing.YES, ())
    if any(known.get(condition) for condition in item.applies):
        return Tailored(item, Bearing.YES, item.applies)
    asked = any(condition not in known for condition in item.applies)
    return Tailored(item, Bearing.ASK if asked else Bearing.NO, item.applies)
