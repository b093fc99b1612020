"""A counted room in brief: its lines without what is behind them, for sums over thousands of rooms. No records here.

Written as lists rather than by name, as all of it is read for one page. What a figure opens to is in the long text.
"""

from __future__ import annotations

import json

from layout.engine.wiring.runs import Lacks, Missing
from reports.estimating.counted import CountedRoom
from reports.estimating.frozen_takeoff import quantity, quantity_out
from reports.estimating.kept_text import canonical
from reports.estimating.takeoff import Basis, Line, RoomTakeoff


def brief_to_text(room: CountedRoom) -> str:
    takeoff = room.takeoff
    lines = [
        [line.key, line.name, line.category, line.unit, quantity_out(line.net), quantity_out(line.quantity)]
        for line in takeoff.lines
    ]
    missing = [[each.lacks.value, list(each.waits)] for each in takeoff.missing]
    return canonical([room.room_id, room.name, room.basis.value, room.revision, room.digest, missing, lines])


def brief_from_text(text: str) -> CountedRoom:
    """The room with its quantities alone: no reasons, no runs, no marks."""
    room_id, name, basis, revision, digest, missing, lines = json.loads(text)
    takeoff = RoomTakeoff(
        name,
        tuple(
            Line(key, said, category, unit, quantity(net), quantity(whole), ())
            for key, said, category, unit, net, whole in lines
        ),
        tuple(Missing(Lacks(lacks), tuple(waits)) for lacks, waits in missing),
        Basis(basis),
    )
    return CountedRoom(room_id, name, takeoff.basis, revision, digest, takeoff, ())
