"""A draft's numbers as plain JSON, so that one press puts them back. Knows no page and no engine."""

import json
from dataclasses import dataclass

from layout.engine.marks import Kind
from layout.engine.pins import Line, Moved, Pin
from layout.engine.switching import Switched
from layout.models import Draft, DraftPin, MovedMark, SwitchedLight, TypedPosition, ZoneNumbers

AXES = ("along", "across")
CHOSEN = (
    "rows", "lights_per_row", "mode_along", "mode_across", "end_setback", "row_setback", "spacing_limit",
    "light_type_id", "speaker_type_id", "subwoofer_type_id", "speaker_gaps", "speaker_columns", "rows_of",
    "speaker_rows", "speakers_between", "columns_may_move", "rows_may_move",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Numbers:
    """All that a person chose for a room: a draft's columns, and its rows. zones: (name, rows, columns).

    switched: None where it isn't known, as in what was kept before lights had switches; then it stays as it is.
    """

    changes: dict
    typed: dict[str, tuple]
    pins: tuple[Pin, ...] = ()
    moved: tuple[Moved, ...] = ()
    zones: tuple[tuple[str, int | None, int | None], ...] = ()
    switched: tuple[Switched, ...] | None = None


def numbers_of(draft) -> Numbers:
    pins, moved = draft.held()
    return Numbers(
        {name: getattr(draft, name) for name in CHOSEN},
        {axis: draft.typed(axis) for axis in AXES},
        pins,
        moved,
        tuple((zone.name, zone.rows, zone.columns) for zone in draft.zone_numbers()),
        draft.switched(),
    )


def try_on(draft, numbers: Numbers):
    """Other numbers on a draft in hand, to be laid out and not kept."""
    for name, value in numbers.changes.items():
        setattr(draft, name, value)
    held = numbers.pins, numbers.moved
    zones = tuple(ZoneNumbers(name=name, rows=rows, columns=columns) for name, rows, columns in numbers.zones)
    draft.typed = lambda axis: numbers.typed[axis]
    draft.held = lambda: held
    draft.zone_numbers = lambda: zones
    if numbers.switched is not None:
        draft.switched = lambda: numbers.switched


def as_json(numbers: Numbers, also=None) -> str:
    """also: plain values kept beside them; from_json leaves them."""
    return json.dumps(
        {
            **(also or {}),
            "changes": {name: _plain(name, value) for name, value in numbers.changes.items()},
            "typed": {axis: [int(at) for at in positions] for axis, positions in numbers.typed.items()},
            "pins": [[pin.line.value, pin.number, int(pin.at)] for pin in numbers.pins],
            "moved": [[m.kind.value, m.row, m.number, int(m.along), int(m.across)] for m in numbers.moved],
            "zones": [list(zone) for zone in numbers.zones],
            **({} if numbers.switched is None else {"switched": switched_rows(numbers.switched)}),
        },
        separators=(",", ":"),
    )


def switched_rows(switched):
    return [[one.row, one.number, one.zone] for one in switched]


def from_json(text: str) -> Numbers:
    kept = json.loads(text)
    length = DraftPin._meta.get_field("at").to_python
    return Numbers(
        {name: Draft._meta.get_field(name).to_python(value) for name, value in kept["changes"].items()},
        {axis: tuple(map(length, positions)) for axis, positions in kept["typed"].items()},
        tuple(Pin(Line(line), number, length(at)) for line, number, at in kept["pins"]),
        tuple(
            Moved(Kind(kind), row, number, length(along), length(across))
            for kind, row, number, along, across in kept["moved"]
        ),
        tuple((name, rows, columns) for name, rows, columns in kept["zones"]),
        tuple(Switched(*row) for row in kept["switched"]) if "switched" in kept else None,
    )


def _plain(name, value):
    return Draft._meta.get_field(name).get_prep_value(value)


def write_rows(draft, numbers: Numbers):
    """The draft's rows as these numbers have them, in the place of what was there."""
    for rows in (draft.typed_positions, draft.pins, draft.moved_marks, draft.zones):
        rows.all().delete()
    TypedPosition.objects.bulk_create(
        TypedPosition(draft=draft, axis=axis, position=position)
        for axis, positions in numbers.typed.items()
        for position in sorted(set(positions))
    )
    DraftPin.objects.bulk_create(
        DraftPin(draft=draft, line=pin.line.value, number=pin.number, at=pin.at) for pin in numbers.pins
    )
    MovedMark.objects.bulk_create(
        MovedMark(draft=draft, kind=m.kind.value, row=m.row, number=m.number, along=m.along, across=m.across)
        for m in numbers.moved
    )
    ZoneNumbers.objects.bulk_create(
        ZoneNumbers(draft=draft, name=name, rows=rows, columns=columns) for name, rows, columns in numbers.zones
    )
    if numbers.switched is not None:
        write_switched(draft, numbers.switched)


def write_switched(draft, switched):
    draft.switched_lights.all().delete()
    SwitchedLight.objects.bulk_create(
        SwitchedLight(draft=draft, row=one.row, number=one.number, zone=one.zone) for one in switched
    )
