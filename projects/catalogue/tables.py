"""Read the trade's tables in fixtures/*.json as values. Knows nothing of Django, of any shop, or of where things go.

Every entry says where it came from in `source`. What is common practice is a default a shop may change, never a limit.
An entry with a missing or an unknown key is refused, so that a slip in a table is found when it is first read.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from layout.engine.lengths import Length, feet, inches, mm
from layout.engine.overhead.values import ClearTo
from projects.catalogue.table_values import (
    Absorption,
    Cable,
    CeilingSystem,
    Checklist,
    ChecklistItem,
    Clearance,
    FeetPerDevice,
    FixtureType,
    Frame,
    JunctionBox,
    LabelSheet,
    Layer,
    LightTarget,
    PhotoSet,
    PowerDensity,
    SpacingRule,
    SpacingRules,
    SpareRule,
    Stage,
    StageQuestion,
    StageTemplate,
    SurfaceReflectance,
    TakeoffItem,
    TakeoffRules,
    WallRules,
    WasteRule,
    WireRule,
)

FOLDER = Path(__file__).resolve().parents[2] / "fixtures"
T = TypeVar("T")
Entry = dict[str, Any]

_LENGTH = re.compile(r"(\d+|\d+\.\d+|\d+/[1-9]\d*|\d+ \d+/[1-9]\d*) (in|ft|mm)", re.ASCII)
_UNITS: dict[str, Callable[[str], Length]] = {"in": inches, "ft": feet, "mm": mm}


class TableError(ValueError):
    """A table that can't be read as it stands. The message names the table, the entry and the remedy."""


def read_length(text: str) -> Length:
    """'7/8 in', '1 1/4 in', '4 ft', '12.5 mm' as an exact length. Raises TableError for anything else."""
    found = _LENGTH.fullmatch(text)
    if not found:
        raise TableError(f"{text!r} is no table length: write a number or a fraction, a space, then in, ft or mm.")
    return _UNITS[found[2]](found[1])


def _table(name: str) -> Entry:
    return json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"), parse_float=Decimal)  # type: ignore[no-any-return]


def _frame(entry: Entry) -> Frame:
    turn = entry.pop("may_turn")
    return Frame(**{name: read_length(text) for name, text in entry.items()}, may_turn=turn)


# How a field is read, by the type it is declared with. Anything not listed here is taken as JSON gives it.
_READERS: dict[str, Callable[[Any], Any]] = {
    "Length": read_length,
    "Fraction": Fraction,
    "Decimal": Decimal,
    "float": float,
    "ClearTo": ClearTo,
    "Frame": _frame,
    "JunctionBox": lambda entry: JunctionBox(**{name: read_length(text) for name, text in entry.items()}),
    "tuple[Length, ...]": lambda texts: tuple(read_length(text) for text in texts),
    "tuple[str, ...]": tuple,
    "tuple[int, ...]": tuple,
    "tuple[float, ...]": lambda numbers: tuple(float(number) for number in numbers),
    "Mapping[str, str]": MappingProxyType,
}


def _read(kind: type[T], entry: Entry, table: str) -> T:
    """One entry as its value. Raises TableError for a missing or an unknown key, or a length that can't be read."""
    declared = {field.name: str(field.type) for field in fields(kind)}  # type: ignore[arg-type]
    who = entry.get("key", entry.get("number", "?"))
    if declared.keys() != entry.keys():
        wrong = ", ".join(sorted(declared.keys() ^ entry.keys()))
        raise TableError(f"fixtures/{table}.json, entry {who}: missing or unknown {wrong}.")
    values = {}
    for name, declaration in declared.items():
        reader = _READERS.get(declaration.removesuffix(" | None"))
        absent = entry[name] is None and declaration.endswith(" | None")
        try:
            values[name] = entry[name] if absent or reader is None else reader(entry[name])
        except (ValueError, TypeError, AttributeError, KeyError) as wrong:
            raise TableError(f"fixtures/{table}.json, entry {who}, {name}: {wrong}") from wrong
    return kind(**values)


def _all(kind: type[T], entries: Iterable[Entry], table: str) -> tuple[T, ...]:
    return tuple(_read(kind, entry, table) for entry in entries)


def _keyed(kind: type[T], entries: Iterable[Entry], table: str) -> Mapping[str, T]:
    """Entries by key, in the table's order. Raises TableError for a key that stands twice."""
    by_key: dict[str, T] = {}
    for entry in entries:
        value = _read(kind, entry, table)
        if entry["key"] in by_key:
            raise TableError(f"fixtures/{table}.json: {entry['key']} stands twice.")
        by_key[entry["key"]] = value
    return MappingProxyType(by_key)


@lru_cache
def layers() -> Mapping[str, Layer]:
    return _keyed(Layer, _table("layers")["layers"], "layers")


@lru_cache
def ceiling_systems() -> Mapping[str, CeilingSystem]:
    return _keyed(CeilingSystem, _table("ceiling_systems")["systems"], "ceiling_systems")


@lru_cache
def fixture_types() -> Mapping[str, FixtureType]:
    return _keyed(FixtureType, _table("fixture_types")["fixture_types"], "fixture_types")


@lru_cache
def clearances() -> Mapping[str, Clearance]:
    """What holes keep from everything overhead, by key. Check your edition; local code decides."""
    return _keyed(Clearance, _table("clearances")["clearances"], "clearances")


@lru_cache
def spacing_rules() -> SpacingRules:
    table = _table("spacing_rules")
    return SpacingRules(
        rules=_all(SpacingRule, table["rules"], "spacing_rules"),
        choice=table["choice"]["text"],
        choice_source=table["choice"]["source"],
        walls=_read(WallRules, table["walls"], "spacing_rules"),
    )


@lru_cache
def checklist() -> Checklist:
    table = _table("rough_in_checklist")
    return Checklist(
        version=table["version"],
        closing=table["closing"],
        groups=tuple(table["groups"]),
        items=_all(ChecklistItem, table["items"], "rough_in_checklist"),
    )


@lru_cache
def takeoff_rules() -> TakeoffRules:
    return read_takeoff_rules(takeoff_table())


def takeoff_table() -> Entry:
    """The takeoff rules as the file has them, for a shop to change. Read anew each time."""
    return _table("takeoff_rules")


def read_takeoff_rules(table: Entry) -> TakeoffRules:
    """A table of the file's shape as values. Raises TableError for a slip, or a name that stands nowhere."""
    name = "takeoff_rules"
    return TakeoffRules(
        version=table["version"],
        items=_keyed(TakeoffItem, table["items"], name),
        spares=_all(SpareRule, table["spares"], name),
        cables=_keyed(Cable, table["cables"], name),
        waste=_keyed(WasteRule, table["waste"], name),
        wire=_keyed(WireRule, table["wire"], name),
        per_device=_keyed(FeetPerDevice, table["per_device"], name),
        rounding=table["rounding"],
    )


@lru_cache
def label_sheets() -> Mapping[str, LabelSheet]:
    """Sheets of labels for cable ends, by key."""
    return _keyed(LabelSheet, _table("label_sheets")["sheets"], "label_sheets")


@lru_cache
def photo_sets() -> tuple[PhotoSet, ...]:
    """Which photos a room needs, in the order they are taken."""
    return _all(PhotoSet, _table("photo_sets")["sets"], "photo_sets")


@lru_cache
def stages() -> tuple[Stage, ...]:
    """The stages in order: stages()[5] is rough-in."""
    return _all(Stage, _table("stages")["stages"], "stages")


@lru_cache
def stage_number(key: str) -> int:
    """A stage's number by its key. Raises StopIteration for one nobody knows."""
    return next(stage.number for stage in stages() if stage.key == key)


@lru_cache
def stage_templates() -> Mapping[str, StageTemplate]:
    """Which stages a job's rooms go through, by how the job runs. Raises TableError for a stage nobody knows."""
    found = _keyed(StageTemplate, _table("stages")["templates"], "stages")
    known = {stage.key for stage in stages()}
    for one in found.values():
        if strange := sorted({*one.stages, *one.hold_points.values(), *one.names, one.closed_at} - known - {""}):
            raise TableError(f"fixtures/stages.json, template {one.key}: no stage is called {', '.join(strange)}.")
    return found


@lru_cache
def stage_questions() -> Mapping[str, StageQuestion]:
    """What is asked of a person where no record shows it, by key."""
    return _keyed(StageQuestion, _table("stages")["questions"], "stages")


def demo() -> Entry:
    """The invented shop, its jobs and rooms, as the file has it. Read anew each time: the caller may change it."""
    return _table("demo")


@lru_cache
def light_targets() -> Mapping[str, LightTarget]:
    """Levels spaces are lit to, by key: what a shop's own targets start from."""
    return _keyed(LightTarget, _table("light_targets")["targets"], "light_targets")


@lru_cache
def surface_reflectances() -> Mapping[str, SurfaceReflectance]:
    """Finishes of ceilings, walls and floors, by key; 'ceiling_usual', 'wall_usual', 'floor_usual' are the start."""
    return _keyed(SurfaceReflectance, _table("surface_reflectances")["finishes"], "surface_reflectances")


@lru_cache
def power_density() -> Mapping[str, PowerDensity]:
    """Lighting power by kind of space, by key."""
    return _keyed(PowerDensity, _table("power_density")["spaces"], "power_density")


@lru_cache
def absorption() -> Mapping[str, Absorption]:
    """What surfaces take of sound, by key; alpha by table_values.OCTAVES_HZ."""
    return _keyed(Absorption, _table("absorption")["materials"], "absorption")
