"""The takeoff on screen and on paper: quantities only. Knows no counting, no prices."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from django.template.loader import render_to_string
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.engine.lengths import ZERO, Distance, Unit
from layout.engine.wiring.values import Lacks, Missing, Note, Part, Run, RunKind
from reports.documents.head import Head, RoomRef, amount, cable_unit
from reports.estimating.takeoff import JobLine, JobTakeoff, Line, Quantity, RoomTakeoff, Rounding, Why

CATEGORIES = {
    "fixtures": gettext_lazy("Lights and speakers"),
    "supports": gettext_lazy("Supports and covers"),
    "boxes": gettext_lazy("Wall boxes"),
    "devices": gettext_lazy("Devices"),
    "connectors": gettext_lazy("Connectors"),
    "labels": gettext_lazy("Labels and bags"),
    "cable": gettext_lazy("Cable"),
    "sundries": gettext_lazy("Sundries"),
    "allowances": gettext_lazy("Allowances"),
    "equipment": gettext_lazy("Equipment"),
    "fees": gettext_lazy("Fees and trips"),
}
COUNTED = {
    "light": gettext_lazy("lights"),
    "speaker": gettext_lazy("speakers"),
    "subwoofer": gettext_lazy("subwoofers"),
    "zone": gettext_lazy("switches"),
    "gang_box": gettext_lazy("switch boxes"),
    "home_run": gettext_lazy("homeruns"),
    "separate_box": gettext_lazy("boxes beside lights"),
    "room": gettext_lazy("rooms"),
    "job": gettext_lazy("jobs"),
    "each": gettext_lazy("for each"),
    "runs": gettext_lazy("runs"),
    "net": gettext_lazy("sum of the runs"),
    "waste_percent": gettext_lazy("waste, percent of the sum"),
    "staple_step": gettext_lazy("held at least every"),
    "rooms": gettext_lazy("rooms with this line"),
    "sum": gettext_lazy("exact sum"),
    "spare_percent": gettext_lazy("spares, percent, rounded up"),
    "at_least": gettext_lazy("at least"),
    "above": gettext_lazy("only with more than"),
    "spares": gettext_lazy("spares"),
}
RUNS = {
    RunKind.SWITCH_LEG: gettext_lazy("switch leg"),
    RunKind.HOP: gettext_lazy("light to light"),
    RunKind.SWITCH_FEED: gettext_lazy("switch to switch"),
    RunKind.THREE_WAY: gettext_lazy("3-way to 3-way"),
    RunKind.HOMERUN: gettext_lazy("homerun"),
    RunKind.WHIP: gettext_lazy("box to its light"),
    RunKind.SPEAKER: gettext_lazy("speaker run"),
    RunKind.SPEAKER_LINE: gettext_lazy("speaker line"),
    RunKind.CONTROL_FEED: gettext_lazy("rack to speaker control"),
}
PARTS = {
    Part.PATH: gettext_lazy("along the framing"),
    Part.DETOUR: gettext_lazy("around what stands in the way"),
    Part.WHIP: gettext_lazy("from the box to its light"),
    Part.DETOUR: gettext_lazy("around what is in the way"),
    Part.SWITCH_DROP: gettext_lazy("drop to the switch"),
    Part.PANEL_DROP: gettext_lazy("drop to the panel"),
    Part.RACK_DROP: gettext_lazy("drop to the rack"),
    Part.CONTROL_DROP: gettext_lazy("drop to the speaker control"),
    Part.FLOORS: gettext_lazy("floor to floor"),
    Part.CONTROL_DROP: gettext_lazy("drop to the control"),
    Part.FLOORS: gettext_lazy("floor to floor"),
    Part.BEYOND: gettext_lazy("past that point, out of the room"),
    Part.WHIP: gettext_lazy("whip"),
    Part.LIGHT_MAKE_UP: gettext_lazy("make-up at lights"),
    Part.SWITCH_MAKE_UP: gettext_lazy("make-up at switches"),
    Part.PANEL_MAKE_UP: gettext_lazy("make-up in the panel"),
    Part.FEED_MAKE_UP: gettext_lazy("make-up at the switch end"),
    Part.CONTROL_MAKE_UP: gettext_lazy("make-up at the speaker control"),
    Part.CONTROL_MAKE_UP: gettext_lazy("make-up at the control"),
    Part.SPEAKER_LOOP: gettext_lazy("loop at the speaker"),
    Part.RACK_LOOP: gettext_lazy("loop at the rack"),
}
ROUNDED = {
    Rounding.JOB: gettext_lazy(
        "Rooms are added up exactly, then each line is rounded up once. Spares are in the order."
    ),
    Rounding.ROOM: gettext_lazy("Each room is rounded up, then the rooms are added up. Spares are in the order."),
    Rounding.ORDER: gettext_lazy(
        "Rooms are added up exactly. What is ordered is rounded up when it is ordered; spares are in it."
    ),
}
NOTED = {  # the same in a table's cell
    Note.THROUGH_NOT_VERIFIED: gettext_lazy("not verified"),
    Note.AT_SEPARATE_BOX: gettext_lazy("at a box beside it"),
}
ROOMS_NAMED = 4  # more than this and a line's note is longer than the line
ROOMS_LISTED = 60  # more than this in one list and nobody reads it; each room tells its own, and the sheets hold all
DROPS = (Part.SWITCH_DROP, Part.PANEL_DROP, Part.RACK_DROP, Part.CONTROL_DROP, Part.FLOORS)
PATHS = (Part.PATH, Part.DETOUR, Part.WHIP, Part.BEYOND)
NOTES = {
    Note.THROUGH_NOT_VERIFIED: gettext_lazy(
        "Passes through a fixture's own box: not verified, no through-wiring label is on file. "
        "Read the label, or join in an accessible box beside it."
    ),
    Note.AT_SEPARATE_BOX: gettext_lazy("Joined in an accessible box of its own: the label takes no more cables."),
}
LACKS = {
    Lacks.SWITCH: gettext_lazy("Switch of zone %(waits)s not placed: enter it to count its leg and what feeds it."),
    Lacks.HEIGHT: gettext_lazy("Ceiling height not taped: enter it to count every run that drops down a wall."),
    Lacks.PANEL: gettext_lazy("Panel not placed: enter it to count the homerun."),
    Lacks.FEED: gettext_lazy("Feed from %(waits)s: set its feet by hand. The homerun and breaker count there."),
    Lacks.RACK: gettext_lazy("Rack not placed: enter it to count the runs of %(waits)s."),
    Lacks.CONTROL: gettext_lazy("Volume control not placed: enter it to count the runs of %(waits)s."),
    Lacks.WAY: gettext_lazy("No way for cable past what is in the way: %(waits)s. Set the feet of that run by hand."),
    Lacks.CONTROL: gettext_lazy("Speaker control not placed: enter it to count the runs of %(waits)s."),
    Lacks.WAY: gettext_lazy("No way around what stands overhead for %(waits)s: set that run by hand."),
}


@dataclass(frozen=True, slots=True)
class TakeoffPaper:
    """A takeoff ready to be drawn. job None: one room alone; rooms carry their own lines either way."""

    head: Head
    job: JobTakeoff | None
    rooms: tuple[tuple[RoomRef, RoomTakeoff], ...]
    unit: Unit
    left_out: tuple[str, ...] = ()  # rooms with neither layout nor counts


@dataclass(frozen=True, slots=True)
class Opened:
    """What a figure opens to."""

    rule: str
    inputs: tuple[tuple[str, str], ...]
    source: str


@dataclass(frozen=True, slots=True)
class Row:
    name: str
    exact: str
    unit: str
    note: str
    opened: tuple[Opened, ...]
    spares: str = ""
    order: str = ""
    by_room: tuple[tuple[str, str], ...] = ()
    more_rooms: int = 0  # that are not in by_room
    counted: bool = False  # some of it rests on counts alone


@dataclass(frozen=True, slots=True)
class Group:
    name: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class RunRow:
    kind: str
    from_id: str
    to_id: str
    path: str
    drops: str
    make_up: str
    total: str
    parts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class RunTable:
    """Every run of one cable in a room; total is before waste."""

    cable: str
    rows: tuple[RunRow, ...]
    total: str


@dataclass(frozen=True, slots=True)
class RoomPart:
    ref: RoomRef
    groups: tuple[Group, ...]
    runs: tuple[RunTable, ...]
    missing: tuple[str, ...]


def body(paper: TakeoffPaper) -> str:
    """The takeoff as a piece of HTML: a section for a page, or for the packet."""
    missing = paper.job.missing if paper.job else ()
    return render_to_string(
        "reports/takeoff.html",
        {
            "head": paper.head,
            "title": _("Takeoff"),
            "job": paper.job and _job_groups(paper.job, paper.unit),
            "missing": [(room, missing_in_words(text)) for room, text in missing[:ROOMS_LISTED]],
            "more_missing": len(missing[ROOMS_LISTED:]),
            "rooms": [_room_part(ref, takeoff, paper.unit) for ref, takeoff in paper.rooms],
            "cable_unit": cable_unit(paper.unit),
            "counted": len(paper.job.counted) if paper.job else 0,
            "counted_rooms": _listed(paper.job.counted) if paper.job else "",
            "rounded": ROUNDED[paper.job.rounding] if paper.job else "",
            "left_out": _listed(paper.left_out),
        },
    )


def _job_groups(job: JobTakeoff, unit: Unit) -> list[Group]:
    return _grouped(job.lines, lambda line: _job_row(job, line, unit))


def _job_row(job: JobTakeoff, line: JobLine, unit: Unit) -> Row:
    by_room = tuple((room, amount(quantity, unit)) for room, quantity in line.by_room[:ROOMS_LISTED])
    return Row(
        name=line.name,
        exact=amount(line.quantity, unit),
        unit=_unit(line.unit, unit),
        note=_where(by_room, len(line.by_room)),
        opened=tuple(_opened(why, unit) for why in line.why),
        spares=str(line.spares) if line.spares else "",
        order=str(line.order),
        by_room=by_room,
        more_rooms=len(line.by_room) - len(by_room),
        counted=bool(job.counted_in(line)),
    )


def _listed(names: Sequence[str]) -> str:
    some = ", ".join(names[:ROOMS_LISTED])
    if len(names) <= ROOMS_LISTED:
        return some
    return _("%(rooms)s and %(count)s more") % {"rooms": some, "count": len(names) - ROOMS_LISTED}


def _where(by_room: tuple[tuple[str, str], ...], rooms: int) -> str:
    if not rooms:
        return _("for the job")
    if rooms > ROOMS_NAMED:
        return _("in %(count)s rooms, listed below") % {"count": rooms}
    return ", ".join(f"{room}\N{NO-BREAK SPACE}{figure}" for room, figure in by_room)


def _room_part(ref: RoomRef, takeoff: RoomTakeoff, unit: Unit) -> RoomPart:
    return RoomPart(
        ref=ref,
        groups=tuple(_grouped(takeoff.lines, lambda line: _room_row(line, unit))),
        runs=tuple(_run_table(line, unit) for line in takeoff.lines if line.runs),
        missing=tuple(missing_in_words(missing) for missing in takeoff.missing),
    )


def _room_row(line: Line, unit: Unit) -> Row:
    return Row(
        name=line.name,
        exact=amount(line.quantity, unit),
        unit=_unit(line.unit, unit),
        note=_note(line, unit),
        opened=tuple(_opened(why, unit) for why in line.why),
    )


def _note(line: Line, unit: Unit) -> str:
    """The sum in a few words: 'lights 12 × 2', '139.3 ft + 12 % waste'."""
    inputs = dict(line.why[-1].inputs)
    if "waste_percent" in inputs:
        percent = amount(inputs["waste_percent"], unit)
        words = {"net": amount(line.net, unit), "unit": cable_unit(unit), "percent": percent}
        return _("%(net)s %(unit)s + %(percent)s %% waste") % words
    counted, count = line.why[0].inputs[0]
    said = f"{COUNTED.get(counted, counted)} {amount(count, unit)}"
    return f"{said} × {amount(inputs['each'], unit)}" if "each" in inputs else said


def _run_table(line: Line, unit: Unit) -> RunTable:
    return RunTable(line.name, tuple(_run_row(run, unit) for run in line.runs), amount(line.net, unit, 2))


def _run_row(run: Run, unit: Unit) -> RunRow:
    others = [part for part in Part if part not in PATHS and part not in DROPS]
    return RunRow(
        kind=str(RUNS[run.kind]),
        from_id=run.from_id,
        to_id=run.to_id,
        path=_of(run, PATHS, unit),
        drops=_of(run, DROPS, unit),
        make_up=_of(run, others, unit),
        total=amount(run.length, unit, 2),
        parts=tuple((str(PARTS[part]), amount(length, unit, 2)) for part, length in run.parts),
    )


def _of(run: Run, kinds: Sequence[Part], unit: Unit) -> str:
    """These parts of a run added up; blank when the run has none of them."""
    lengths: list[Distance] = [length for part, length in run.parts if part in kinds]
    return amount(sum(lengths, start=ZERO), unit, 2) if lengths else ""


def _opened(why: Why, unit: Unit) -> Opened:
    inputs = tuple((str(COUNTED.get(what, what)), _figure(each, unit)) for what, each in why.inputs)
    return Opened(why.rule, inputs, why.source)


def _figure(quantity: Quantity, unit: Unit) -> str:
    figure = amount(quantity, unit, 2)
    return f"{figure} {cable_unit(unit)}" if isinstance(quantity, Distance) else figure


def _grouped(lines: Iterable[Line | JobLine], row) -> list[Group]:  # type: ignore[no-untyped-def]
    """Lines under their category's name, categories in the order a supplier's list runs."""
    order = list(CATEGORIES)
    by_category = sorted(lines, key=lambda line: order.index(line.category) if line.category in order else len(order))
    return [
        Group(str(CATEGORIES.get(category, category)), tuple(row(line) for line in grouped))
        for category, grouped in groupby(by_category, key=lambda line: line.category)
    ]


def missing_in_words(missing: Missing) -> str:
    if missing.lacks is Lacks.SWITCH and missing.waits == ("",):
        return _("Switch not placed: enter it to count its leg and what feeds it.")
    return str(LACKS[missing.lacks]) % {"waits": ", ".join(missing.waits)}


def _unit(unit: str, shop: Unit) -> str:
    return cable_unit(shop) if unit == "length" else unit
