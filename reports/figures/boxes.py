"""Figures of boxes and bored holes. Engine calls with the trade's table; nothing is counted here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from layout.engine.wiring import boxes, holes
from layout.engine.wiring.boxes import FIRST_EDITION, LAST_EDITION, LATEST_EDITION, Conductors, Device
from projects.catalogue.electrical import electrical
from reports.figures.drops import TO_CHECK
from reports.figures.figure import INCHES, Figure, Input, Result
from reports.figures.kinds import Flag, Gauge, ListOf, Number, Record, Whole

GROUP = "boxes"
MANY = Whole(0, 1000)
WIRES = ListOf(Record({"awg": Gauge(), "count": MANY}, {}, Conductors), 100, of_what="{awg, count}")
DEVICES = ListOf(
    Record({"awg": Gauge(), "count": MANY, "gangs": Whole(1, 10)}, {"count": 1, "gangs": 1}, Device),
    100,
    of_what="{awg, count, gangs}",
)


def _fill(**given: Any) -> Mapping[str, object]:
    table = electrical().boxes
    found = boxes.fill(table, **given)
    gangs = sum(device.count * device.gangs for device in given["devices"])
    return {
        "in3": found.in3,
        "edition": found.edition,
        "counted": [
            {
                "what": line.what.value,
                "awg": line.awg,
                "count": line.count,
                "in3_each": line.in3_each,
                "in3": line.in3,
                "why": line.why,
            }
            for line in found.counted
        ],
        "boxes": [box.name for box in boxes.choose(table, found.in3, gangs)],
    }


FIGURES = (
    Figure(
        name="box.fill",
        title="Box fill",
        group=GROUP,
        inputs=(
            Input("conductors", "Conductors that enter", WIRES, "", [{"awg": 12, "count": 4}], hint="not pigtails"),
            Input("grounds", "Grounds", WIRES, "", [{"awg": 12, "count": 2}], usual=(), optional=True),
            Input(
                "devices",
                "Devices, by the largest conductor on each",
                DEVICES,
                "",
                [{"awg": 12, "count": 1, "gangs": 1}],
                usual=(),
                optional=True,
            ),
            Input("internal_clamps", "Clamps inside the box", Flag(), "", True, usual=False, optional=True),
            Input(
                "edition",
                "Edition of the code",
                Whole(FIRST_EDITION, LAST_EDITION),
                "",
                2017,
                usual=LATEST_EDITION,
                optional=True,
                hint="grounds beyond four count a quarter each from 2020 on",
            ),
            Input("isolated_grounds", "Isolated grounds", WIRES, "", None, usual=(), optional=True),
            Input("loops", "Loops of unbroken conductor, 12 in or more", WIRES, "", None, usual=(), optional=True),
            Input("studs", "Studs and hickeys", Whole(0, 10), "", None, usual=0, optional=True),
        ),
        results=(
            Result("in3", "The box must have", "cubic inches"),
            Result("edition", "By the edition of", ""),
            Result("counted", "Counted", ""),
            Result("boxes", "Boxes of the table that hold it", ""),
        ),
        rule="Conductors 1 each, clamps 1 of the largest, each yoke 2 of the largest on it, grounds by edition.",
        source="NEC 314.16(B), 2017 to 2023 (text quoted in public, seen)",
        reckon=_fill,
        cautions=(
            *TO_CHECK,
            "A fixture's own box carries its own limit: read its label. Non-metallic boxes: the volume marked.",
        ),
    ),
    Figure(
        name="box.capacity",
        title="Conductors a box holds",
        group=GROUP,
        inputs=(
            Input("volume_in3", "Volume of the box", Number(high=100_000), "cubic inches", 12.5),
            Input("awg", "Gauge", Gauge(), "AWG", 8),
        ),
        results=(Result("count", "Conductors of that gauge", ""),),
        rule="floor(volume / allowance). Some printed tables give one more: the smaller number is given.",
        source="NEC Table 314.16(B), 2017 to 2023 (seen in several copies)",
        reckon=lambda volume_in3, awg: {"count": boxes.capacity(electrical().boxes, volume_in3, awg)},
        cautions=TO_CHECK,
    ),
    Figure(
        name="joist.hole",
        title="Hole through a joist",
        group=GROUP,
        inputs=(
            Input(
                "depth_in", "Depth of the joist, actual", Number(high=1000), INCHES, 9.25, hint="a 2 x 10 is 9 1/4 in"
            ),
        ),
        results=(Result("in", "Largest bored hole", INCHES), Result("governed_by", "Held by", "")),
        rule="A third of the actual depth, and 2 in left at the top, the bottom, other holes and notches: both.",
        source="IRC R502.8.1 (secondary copies and a study guide's example seen)",
        reckon=lambda depth_in: (lambda hole: {"in": hole.diameter_in, "governed_by": hole.governed_by})(
            holes.largest(depth_in)
        ),
        cautions=(
            "Solid sawn lumber only: I-joists, trusses, LVL and glulam as their maker or a registered designer allows.",
            "Cable nearer than 1 1/4 in to the edge takes a steel plate (NEC 300.4): another rule, and both apply.",
            "Local code decides.",
        ),
    ),
)
