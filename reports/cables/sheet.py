"""The cable schedule as a sheet: typed columns, one row a cable. Knows no file format beyond the writer's."""

from fractions import Fraction

from reports.documents.takeoff import RUNS
from reports.estimating.sheet_rows import Column
from reports.spreadsheets import csv_bytes

COLUMNS = (
    Column("cable_id"), Column("room_name"), Column("kind"), Column("from"), Column("to"), Column("zone"),
    Column("circuit"), Column("cable_type"), Column("length", "number"), Column("by_hand"),
    Column("computed", "number"), Column("waste_pct", "number"), Column("piece", "number"), Column("unit"),
    Column("holes", "number"), Column("pulled", "number"),
)  # fmt: skip


def cables_csv(found, words):
    """As bytes, guarded against formulas and dates."""
    return csv_bytes(COLUMNS, [_row(cable, found.pull_of(cable), words) for cable in found.cables], bom=True)


def _row(cable, pull, words):
    run, unit = cable.run, words.unit_length
    return {
        "cable_id": cable.id,
        "room_name": cable.room.name,
        "kind": str(RUNS[run.kind]),
        "from": run.from_id,
        "to": run.to_id,
        "zone": run.zone,
        "circuit": run.circuit,
        "cable_type": words.name(run.cable),
        "length": _in(run.length, unit),
        "by_hand": "yes" if run.by_hand is not None else "",
        "computed": _in(run.computed, unit) if run.parts else None,
        "waste_pct": cable.waste_percent,
        "piece": _in(cable.piece, unit),
        "unit": words.cable_unit,
        "holes": run.bored,
        "pulled": _in(pull.used, unit) if pull else None,
    }


def _in(length, unit):
    return Fraction(length.nm) / Fraction(unit.nm)
