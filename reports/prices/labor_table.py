"""Read the trade's labor table (fixtures/labor_units.json) as values. Knows no shop: a shop's edits come on top."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, fields
from decimal import Decimal
from functools import lru_cache
from typing import Any

from layout.engine.lengths import Length
from projects.catalogue.tables import FOLDER, TableError, read_length
from reports.estimating.labor_book import Factor, LaborUnit, Phase

NAME = "labor_units"


@dataclass(frozen=True, slots=True)
class Condition:
    """A factor as the table has it. scope: of a room, or of the whole job. above: the ceiling height it begins over."""

    factor: Factor
    scope: str
    above: Length | None


@dataclass(frozen=True, slots=True)
class Footage:
    """Feet of cable to count for each light before anyone measures, in open framing."""

    key: str
    name: str
    cables: tuple[str, ...]
    feet: Decimal
    low: Decimal
    high: Decimal
    note: str
    source: str


@dataclass(frozen=True, slots=True)
class LaborTable:
    version: str
    units: Mapping[str, LaborUnit]
    conditions: Mapping[str, Condition]
    footage: Mapping[str, Footage]

    @property
    def heights(self) -> list[Condition]:
        """Those that begin over a height, the highest first."""
        found = [condition for condition in self.conditions.values() if condition.above is not None]
        return sorted(found, key=lambda condition: condition.above or 0, reverse=True)


@lru_cache
def labor_table() -> LaborTable:
    """Raises TableError for an entry that can't be read, naming it."""
    table = json.loads((FOLDER / f"{NAME}.json").read_text(encoding="utf-8"))
    return LaborTable(
        version=table["version"],
        units={entry["key"]: _unit(entry) for entry in table["units"]},
        conditions={entry["key"]: _condition(entry) for entry in table["factors"]},
        footage={entry["key"]: _footage(entry) for entry in table["footage"]},
    )


def _unit(entry: dict[str, Any]) -> LaborUnit:
    _insist(entry, {field.name for field in fields(LaborUnit)} - {"whole"})
    number = {name: _number(entry, name) for name in ("hours", "per", "low", "high")}
    lists = {name: tuple(entry[name]) for name in ("applies", "instead_of")}
    return LaborUnit(**{**entry, **number, **lists, "phase": Phase(entry["phase"])})


def _condition(entry: dict[str, Any]) -> Condition:
    _insist(entry, {field.name for field in fields(Factor)} | {"scope", "ceiling_above"})
    above, scope = entry.pop("ceiling_above"), entry.pop("scope")
    number = {name: _number(entry, name) for name in ("times", "low", "high")}
    return Condition(Factor(**{**entry, **number}), scope, above and read_length(above))


def _footage(entry: dict[str, Any]) -> Footage:
    _insist(entry, {field.name for field in fields(Footage)})
    number = {name: _number(entry, name) for name in ("feet", "low", "high")}
    return Footage(**{**entry, **number, "cables": tuple(entry["cables"])})


def _number(entry: dict[str, Any], name: str) -> Any:
    return None if entry[name] is None else Decimal(entry[name])


def _insist(entry: dict[str, Any], known: set[str]) -> None:
    if entry.keys() != known:
        wrong = ", ".join(sorted(entry.keys() ^ known))
        raise TableError(f"fixtures/{NAME}.json, entry {entry.get('key', '?')}: missing or unknown {wrong}.")
