"""Which items of a checklist bear on a room, from what is known of it. Knows no answers, no prices and no Django."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from projects.catalogue.table_values import ChecklistItem

EVERYWHERE = "all"

# Surfacing and pipe insulation of a building from this year or before are taken for asbestos until tested: 29 CFR
# 1926.1101, from memory. Paint from before 1978 falls under it too.
OLD_BUILDING = 1980

# What is asked of a person who stands in the room, because no drawing says it.
ASKED_ON_SITE = ("fire_rated", "insulated", "wet", "attic", "sawn_joists", "engineered_lumber")


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


@dataclass(frozen=True, slots=True)
class RoomParts:
    """What a room is made of, as entered.

    kinds: of its marks, or of what is counted for it; None while nobody said. old_work: remodel parts are among them.
    existing: its job is work in an existing ceiling. told: ASKED_ON_SITE, those that were answered.
    """

    system: str
    kinds: frozenset[str] | None = None
    old_work: bool = False
    existing: bool = False
    year_built: int | None = None
    told: Mapping[str, bool] = field(default_factory=dict)


def known_of(parts: RoomParts) -> dict[str, bool]:
    """The conditions of the list that are known, true or false; what nobody entered is absent.

    Remodel parts say that the building is an existing one; their absence says nothing.
    """
    known = {
        "isolated": parts.system == "isolated",
        "grid": parts.system == "grid",
        **{name: said for name, said in parts.told.items() if name in ASKED_ON_SITE},
    }
    if parts.kinds is not None:
        known["lights"] = "light" in parts.kinds
        known["speakers"] = bool(parts.kinds & {"speaker", "subwoofer"})
    if parts.year_built is not None:
        known["old_building"] = parts.year_built <= OLD_BUILDING
    elif parts.existing or parts.old_work:
        known["old_building"] = True  # taken for an old one until somebody knows
    return known


def tailored(items: Iterable[ChecklistItem], known: Mapping[str, bool]) -> tuple[Tailored, ...]:
    """Every item in order: none is dropped, and what is not known is asked, never assumed away.

    Args: known: conditions that were entered (lights, grid, wet …), true or false; absent means not known.
    """
    return tuple(_tailor(item, known) for item in items)


def _tailor(item: ChecklistItem, known: Mapping[str, bool]) -> Tailored:
    if EVERYWHERE in item.applies:
        return Tailored(item, Bearing.YES, ())
    if any(known.get(condition) for condition in item.applies):
        return Tailored(item, Bearing.YES, item.applies)
    asked = any(condition not in known for condition in item.applies)
    return Tailored(item, Bearing.ASK if asked else Bearing.NO, item.applies)
