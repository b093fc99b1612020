"""Speaker wire: what it loses, how far it reaches, and lines with taps. Knows no cable classes, no rooms, no Django.

Solid copper at 20 C unless said; tables in circulation use some 4 % more for strand. Lengths are one way. Taps are
taken as resistors, V^2 / P, at the line's nominal voltage.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from layout.engine.wiring.conductors import ElectricalError, loop_ohm, ohm_per_kft

WIRE_TEMP_C = 20.0
USUAL_GAUGES = (18, 16, 14, 12, 10)  # speaker cable as sold; common practice, no source
LINE_SHARE_PERCENT = 80.0  # of the amplifier's rating, taps and losses together; common practice, no source
MOST_TAPS = 100_000


@dataclass(frozen=True, slots=True)
class LineLoad:
    """A line's taps against its amplifier. headroom_w is below 0 when they ask for more than the share allows."""

    total_w: float
    ohm: float
    allowed_w: float
    headroom_w: float


def loss_db(awg: int, one_way_ft: float, load_ohm: float, temp_c: float = WIRE_TEMP_C) -> float:
    """Level lost in the wire, dB (positive): 20 log10((Z + R) / Z), R the loop. Source: voltage divider."""
    _over_zero("Load", load_ohm)
    return 20 * math.log10((load_ohm + loop_ohm(awg, one_way_ft, temp_c)) / load_ohm)


def longest_run_ft(awg: int, load_ohm: float, percent: float, temp_c: float = WIRE_TEMP_C) -> float:
    """One-way feet at which the loop is so many percent of the load.

    5 % is a common table's limit (a reprint seen, its values rounded): 14 AWG reaches 79 ft at 8 ohms.
    """
    _over_zero("Load", load_ohm)
    return load_ohm * percent / 100 / (2 * ohm_per_kft(awg, temp_c) / 1000)


def damping(wire_loop_ohm: float, load_ohm: float, amp_output_ohm: float) -> float:
    """Effective damping factor at the speaker: Z / (amplifier's output + wire loop). Source: its definition."""
    between = wire_loop_ohm + amp_output_ohm
    if not between > 0:
        raise ElectricalError(
            "Wire and amplifier: with no resistance in either the factor has no end. Give one of them."
        )
    return load_ohm / between


def gauge_for(load_ohm: float, one_way_ft: float, percent: float, gauges: Sequence[int] = USUAL_GAUGES) -> int | None:
    """The thinnest gauge whose loop stays within percent of the load over that run; None when no given gauge does."""
    reach = (awg for awg in sorted(gauges, reverse=True) if longest_run_ft(awg, load_ohm, percent) >= one_way_ft)
    return next(reach, None)


def line_ohm(line_v: float, total_watts: float) -> float:
    """Total load of a constant-voltage line: V^2 / P. 100 W of taps on 70.7 V is 49.98 ohms (published note, seen)."""
    _over_zero("Watts", total_watts)
    return line_v**2 / total_watts


def line_load(
    line_v: float, tap_watts: Sequence[float], amplifier_w: float, share_percent: float = LINE_SHARE_PERCENT
) -> LineLoad:
    """All taps on a line against what its amplifier is loaded with, 80 % by common practice."""
    total_w = math.fsum(tap_watts)
    allowed_w = amplifier_w * share_percent / 100
    return LineLoad(total_w, line_ohm(line_v, total_w), allowed_w, allowed_w - total_w)


def last_tap_db(
    line_v: float,
    awg: int,
    home_run_ft: float,
    spacing_ft: float,
    taps: int,
    tap_watts: float,
    temp_c: float = WIRE_TEMP_C,
) -> float:
    """Level at the last tap against the amplifier, dB (0 or below): home run to the first, then one spacing to each.

    From the far end: seen from a tap, the line is that tap beside the next segment and all behind it; what each
    segment passes on is a voltage divider. Source: ladder network, Kirchhoff.
    """
    if not 1 <= taps <= MOST_TAPS:
        raise ElectricalError(f"Taps: {taps} is outside 1 to {MOST_TAPS} on one line.")
    _over_zero("Tap", tap_watts)
    _over_zero("Line", line_v)
    tap_ohm = line_v**2 / tap_watts
    between, home = (loop_ohm(awg, feet, temp_c) for feet in (spacing_ft, home_run_ft))
    seen, level_db = tap_ohm, 0.0
    for place in range(taps - 1, -1, -1):
        segment = between if place else home
        level_db += 20 * math.log10(seen / (seen + segment))
        seen = 1 / (1 / tap_ohm + 1 / (seen + segment))
    return level_db


def _over_zero(what: str, value: float) -> None:
    if not value > 0:
        raise ElectricalError(f"{what}: give more than 0.")
