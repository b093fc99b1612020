"""Figures of conductors, voltage drop and circuits. Engine calls only."""

from __future__ import annotations

from collections.abc import Mapping

from layout.engine.wiring import circuits, conductors, drop
from reports.figures.figure import FEET, Figure, Input, Result
from reports.figures.kinds import Flag, Gauge, Number, Whole

GROUP = "conductors"
TO_CHECK = (
    "Check against the adopted local code and its edition. This is no statement that anything complies.",
    "Wiring is for qualified people, with the circuit off, locked and tested.",
)
GAUGE = Input("awg", "Gauge", Gauge(), "AWG", 12)
STRANDED = Input("stranded", "Stranded", Flag(), "", False, usual=False, optional=True)
OHMS = Input("ohm_per_kft", "Resistance of one conductor", Number(high=1e6), "ohms per 1000 ft", 3.14)
VOLTS = Number(high=100_000)
COUNT = Whole(1, drop.MOST_LOADS)


def _temp(example: float, usual: float) -> Input:
    kind = Number(low=conductors.COLDEST_C, high=conductors.HOTTEST_C)
    return Input("temp_c", "Temperature of the conductor", kind, "C", example, usual=usual, optional=True)


def feet(name: str, label: str, example: float, *, zero: bool = True) -> Input:
    return Input(name, label, Number(high=1e6, zero=zero), FEET, example)


def _diameter(awg: int) -> Mapping[str, object]:
    return {"mil": conductors.diameter_mil(awg), "cmil": conductors.circular_mils(awg)}


FIGURES = (
    Figure(
        name="conductor.diameter",
        title="Diameter of a gauge",
        group=GROUP,
        inputs=(GAUGE,),
        results=(Result("mil", "Diameter, solid", "mils"), Result("cmil", "Area", "circular mils")),
        rule="d = 0.127 mm x 92^((36 - n) / 39); 4/0 is n = -3.",
        source="ASTM B258, through a reprint (seen)",
        reckon=_diameter,
    ),
    Figure(
        name="conductor.resistance",
        title="Resistance of copper",
        group=GROUP,
        inputs=(GAUGE, _temp(75, 75.0), STRANDED),
        results=(Result("ohm_per_kft", "One conductor", "ohms per 1000 ft"),),
        rule="1.7241e-8 ohm m at 20 C over the area, x (1 + 0.00393 (T - 20)); strand + 2 %. Not the loop.",
        source="NBS Handbook 100 (constants from memory); 0.4 % off NEC ch. 9 Table 8, 2017 to 2023 (copies seen)",
        reckon=lambda awg, temp_c, stranded: {"ohm_per_kft": conductors.ohm_per_kft(awg, temp_c, stranded)},
        cautions=("Uncoated copper. Tinned copper and aluminum are higher.",),
    ),
    Figure(
        name="drop.by_constant",
        title="Voltage drop by the K method",
        group=GROUP,
        inputs=(
            Input(
                "K", "K", Number(high=1000), "ohm circular mils per ft", 12.9, hint="12.9 copper at 75 C, 21.2 aluminum"
            ),
            Input("amps", "Current of the load", Number(high=1e6, zero=True), "A", 20, hint="not the breaker's rating"),
            feet("one_way_ft", "Run, one way", 100),
            Input("cmil", "Area", Number(high=1e9), "circular mils", 6530),
        ),
        results=(Result("volts", "Volts lost", "V"),),
        rule="2 K I L / circular mils; single phase or DC, power factor near 1.",
        source="exam-prep worked example (seen); K = 21.2 for aluminum from memory",
        reckon=lambda K, amps, one_way_ft, cmil: {"volts": drop.by_constant(K, amps, one_way_ft, cmil)},
        cautions=TO_CHECK,
    ),
    Figure(
        name="drop.chain",
        title="Drop along a chain of lights",
        group=GROUP,
        inputs=(
            OHMS,
            feet("home_run_ft", "Run to the first light", 40),
            feet("spacing_ft", "From light to light", 6),
            Input("count", "Lights", COUNT, "", 10),
            Input("amps_each", "Current of each", Number(high=1e6, zero=True), "A", 0.1),
        ),
        results=(Result("last_volts", "Volts lost at the last light", "V"),),
        rule="Each segment carries all the current beyond it, in two conductors. Constant current.",
        source="Kirchhoff's laws, segment by segment",
        reckon=lambda **given: {"last_volts": drop.chain(**given)},
        cautions=TO_CHECK,
    ),
    Figure(
        name="drop.chain_factor",
        title="Chain against all at the end",
        group=GROUP,
        inputs=(Input("count", "Equal loads, one spacing apart", COUNT, "", 8),),
        results=(Result("factor", "Drop at the last, against all of them at the end", ""),),
        rule="(n + 1) / (2 n), the first load one spacing from the source.",
        source="closed form of the sum over the segments",
        reckon=lambda count: {"factor": drop.chain_factor(count)},
    ),
    Figure(
        name="drop.longest_run",
        title="Longest run within a drop",
        group=GROUP,
        inputs=(
            OHMS,
            Input("volts", "Supply", VOLTS, "V", 24),
            Input("watts", "Load", Number(high=1e9), "W", 96),
            Input("limit_percent", "May lose", Number(high=100), "% of the supply", 3),
        ),
        results=(Result("one_way_ft", "Run, one way", FEET),),
        rule="Constant current, watts / volts; two conductors. 3 % and 5 % are recommendations, not rules.",
        source="closed form; NEC informational notes to 210.19 and 215.2, 2017 to 2023 (seen)",
        reckon=lambda **given: {"one_way_ft": drop.longest_run(**given)},
        cautions=TO_CHECK,
    ),
    Figure(
        name="drop.constant_power",
        title="Volts that reach a driver",
        group=GROUP,
        inputs=(
            Input("volts", "Supply", VOLTS, "V", 24),
            Input("watts", "Load", Number(high=1e9, zero=True), "W", 96),
            Input("awg", "Gauge", Gauge(), "AWG", 16),
            feet("one_way_ft", "Run, one way", 30),
            _temp(20, 20.0),
            STRANDED,
        ),
        results=(Result("volts_at_load", "Volts at the load", "V"),),
        rule="V = (Vs + root(Vs^2 - 4 P R)) / 2, R the loop: a driver takes the same watts at any voltage.",
        source="Kirchhoff and the quadratic formula",
        reckon=lambda **given: {"volts_at_load": drop.constant_power(**given)},
        cautions=TO_CHECK,
    ),
    Figure(
        name="circuit.continuous",
        title="Continuous load on a breaker",
        group=GROUP,
        inputs=(
            Input("breaker_a", "Breaker", Number(high=10_000), "A", 20),
            Input("volts", "Circuit", VOLTS, "V", 120),
        ),
        results=(Result("va", "Continuous load, at most", "VA"),),
        rule="The breaker has 1.25 x the continuous part (80 %, the other way round). Lighting usually counts.",
        source="NEC 210.20(A), 2017 to 2023 (a manufacturer's bulletin quoting it, seen)",
        reckon=lambda breaker_a, volts: {"va": circuits.continuous_va(breaker_a, volts)},
        cautions=TO_CHECK,
    ),
    Figure(
        name="circuit.count",
        title="Lights on one circuit",
        group=GROUP,
        inputs=(
            Input("breaker_a", "Breaker", Number(high=10_000), "A", 15),
            Input("volts", "Circuit", VOLTS, "V", 120),
            Input("watts_each", "Each light", Number(low=1e-3), "W", 13.5),
            Input("power_factor", "Power factor", Number(low=0.01, high=1), "", 0.9, usual=1.0, optional=True),
        ),
        results=(Result("count", "Lights", ""),),
        rule="floor(0.8 x V x A x power factor / W): VA are added up, not watts.",
        source="NEC 210.20(A), 2017 to 2023 (seen); closed form",
        reckon=lambda **given: {"count": circuits.lights_on_circuit(**given)},
        cautions=(
            *TO_CHECK,
            "Drivers draw a rush of current when switched on: their sheet may allow fewer on a switch.",
        ),
    ),
    Figure(
        name="circuit.dwelling_load",
        title="General lighting load of a dwelling",
        group=GROUP,
        inputs=(Input("floor_ft2", "Floor, outside dimensions", Number(zero=True), "square feet", 1650),),
        results=(Result("va", "Load", "VA"), Result("edition", "By", "")),
        rule="3 VA for each square foot of floor, general receptacles included. Dwellings only.",
        source="NEC 220.14(J), 2020 (seen); 220.12 before and 220.41 in 2023 (from memory)",
        reckon=lambda floor_ft2: {"va": circuits.dwelling_va(floor_ft2), "edition": circuits.DWELLING_EDITION},
        cautions=TO_CHECK,
    ),
)
