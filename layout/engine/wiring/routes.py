"""A room's runs as lines to draw on the plan. Values alone: no picture, no color, no Django.

Runs that share a stretch of framing are told apart by `lane`: a drawing can set them side by side.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from layout.engine.lengths import Distance, Length, nanometers
from layout.engine.wiring.chain import Point, natural
from layout.engine.wiring.values import Run, RunKey, RunKind, Wiring


@dataclass(frozen=True, slots=True)
class Polyline:
    """One run on the plan. points: x from left, y from the door wall, both ends included. label: 'A1–A2'.

    label_at: the middle of its longest leg. along_x: that leg runs left to right. lane: how many lines stand on that
    leg before it.
    """

    points: tuple[Point, ...]
    label: str
    label_at: Point
    along_x: bool
    lane: int
    kind: RunKind
    cable: str
    zone: str
    circuit: str
    length: Distance
    by_hand: bool
    bored: int
    notes: tuple[str, ...]
    key: RunKey


def routes_drawing(wiring: Wiring) -> tuple[Polyline, ...]:
    """Every run with a way on the plan: by zone, then homeruns and feeds, then speakers, each group by its ends."""
    drawn: list[Polyline] = []
    taken: dict[tuple[bool, int], list[tuple[int, int]]] = {}
    for run in sorted(wiring.runs, key=_order):
        if len(run.bends) < 2 or run.bends[0] == run.bends[-1]:
            continue
        a, b = max(pairwise(run.bends), key=lambda leg: _length(*leg))
        along_x = a.y == b.y
        line = taken.setdefault((along_x, int(a.y if along_x else a.x)), [])
        low, high = sorted((int(a.x), int(b.x)) if along_x else (int(a.y), int(b.y)))
        lane = sum(low < other_high and other_low < high for other_low, other_high in line)
        line.append((low, high))
        drawn.append(_polyline(run, a, b, along_x, lane))
    return tuple(drawn)


def run_label(run: Run) -> str:
    """'A1–A2': what both ends of the cable are marked with."""
    return f"{run.from_id}\N{EN DASH}{run.to_id}"


def _polyline(run: Run, a: Point, b: Point, along_x: bool, lane: int) -> Polyline:
    return Polyline(
        points=run.bends,
        label=run_label(run),
        label_at=Point(_middle(a.x, b.x), _middle(a.y, b.y)),
        along_x=along_x,
        lane=lane,
        kind=run.kind,
        cable=run.cable,
        zone=run.zone,
        circuit=run.circuit,
        length=run.length,
        by_hand=run.by_hand is not None,
        bored=run.bored,
        notes=tuple(note.value for note in run.notes),
        key=run.key,
    )


def _order(run: Run) -> tuple[object, ...]:
    groups = {RunKind.HOMERUN: 1, RunKind.SWITCH_FEED: 1}
    speakers = (RunKind.SPEAKER, RunKind.SPEAKER_LINE, RunKind.CONTROL_FEED)
    group = 2 if run.kind in speakers else groups.get(run.kind, 0)
    return group, natural(run.zone), natural(run.circuit), natural(run.from_id), natural(run.to_id)


def _middle(one: Length, other: Length) -> Length:
    return nanometers((int(one) + int(other)) // 2)


def _length(a: Point, b: Point) -> int:
    return abs(int(a.x) - int(b.x)) + abs(int(a.y) - int(b.y))
