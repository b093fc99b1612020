"""Figures of speaker wire and constant-voltage lines. Engine calls only."""

from __future__ import annotations

from layout.engine.wiring import speaker_lines
from reports.figures.drops import feet
from reports.figures.figure import FEET, Figure, Input, Result
from reports.figures.kinds import Gauge, Number, Whole

GROUP = "speakers"
OHM = Number(high=1e6)
LOAD = Input("load_ohm", "Speaker, nominal", OHM, "ohms", 8)
AWG = Input("awg", "Gauge", Gauge(), "AWG", 16)
LINE = Input("line_v", "Line", Number(high=1000), "V", 70.7)
CLASS = (
    "Cable in walls and ceilings by the class marked on the amplifier; plenums need plenum cable. Local code decides.",
)

FIGURES = (
    Figure(
        name="speaker_wire.loss",
        title="Level lost in speaker wire",
        group=GROUP,
        inputs=(AWG, feet("one_way_ft", "Run, one way", 100), LOAD),
        results=(Result("db", "Lost", "dB"),),
        rule="20 log10((Z + R) / Z), R there and back; solid copper at 20 C. Tables for strand lose some 4 % more.",
        source="voltage divider; within 0.1 dB of a public wire-loss table (seen)",
        reckon=lambda **given: {"db": speaker_lines.loss_db(**given)},
        cautions=CLASS,
    ),
    Figure(
        name="speaker_wire.longest_run",
        title="Longest speaker run",
        group=GROUP,
        inputs=(AWG, LOAD, Input("percent", "Wire, of the speaker's impedance", Number(high=100), "%", 5)),
        results=(Result("one_way_ft", "Run, one way", FEET),),
        rule="The loop's resistance is that share of the load; solid copper at 20 C.",
        source="closed form; within 6.5 % of a published 5 % table with rounded values (reprint seen)",
        reckon=lambda **given: {"one_way_ft": speaker_lines.longest_run_ft(**given)},
        cautions=CLASS,
    ),
    Figure(
        name="speaker_wire.damping",
        title="Damping that is left",
        group=GROUP,
        inputs=(
            Input("wire_loop_ohm", "Wire, there and back", Number(high=1e6, zero=True), "ohms", 0.4),
            LOAD,
            Input("amp_output_ohm", "Amplifier's output", Number(high=1e6, zero=True), "ohms", 0.04),
        ),
        results=(Result("factor", "Damping factor at the speaker", ""),),
        rule="Speaker's impedance over the amplifier's output and the wire together.",
        source="definition",
        reckon=lambda **given: {"factor": speaker_lines.damping(**given)},
    ),
    Figure(
        name="line.load",
        title="Load of a constant-voltage line",
        group=GROUP,
        inputs=(LINE, Input("total_watts", "All taps together", Number(), "W", 100)),
        results=(Result("ohm", "Load", "ohms"),),
        rule="V^2 / P. Keep the taps under the amplifier's rating; 80 % of it is common practice.",
        source="published line-loss note (seen)",
        reckon=lambda line_v, total_watts: {"ohm": speaker_lines.line_ohm(line_v, total_watts)},
        cautions=CLASS,
    ),
    Figure(
        name="line.last_tap",
        title="Level at the last tap",
        group=GROUP,
        inputs=(
            LINE,
            Input("awg", "Gauge", Gauge(), "AWG", 18),
            feet("home_run_ft", "Run to the first speaker", 100),
            feet("spacing_ft", "From speaker to speaker", 15),
            Input("taps", "Speakers", Whole(1, speaker_lines.MOST_TAPS), "", 12),
            Input("tap_watts", "Tap of each", Number(), "W", 10),
        ),
        results=(Result("db", "Against the amplifier", "dB"),),
        rule="Taps as resistors V^2 / P; each segment carries what lies beyond it; solid copper at 20 C.",
        source="ladder network, Kirchhoff's laws",
        reckon=lambda **given: {"db": speaker_lines.last_tap_db(**given)},
        cautions=CLASS,
    ),
)
