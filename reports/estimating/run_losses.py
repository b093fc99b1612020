"""What each run of a room loses on the way: volts to lights, level to speakers. Knows no rooms' pages, no Django.

Copper and lengths as counted, make-up and drops included, waste not. Lights take the current they take at the circuit's
own voltage, whatever reaches them; power conductors are taken at 75 C, speaker wire at 20 C.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from layout.engine.lengths import feet
from layout.engine.wiring.conductors import loop_ohm
from layout.engine.wiring.speaker_lines import WIRE_TEMP_C, last_tap_db, loss_db
from layout.engine.wiring.values import Run, RunKey, RunKind

POWER_TEMP_C = 75.0
POWER = frozenset(
    {RunKind.HOP, RunKind.SWITCH_LEG, RunKind.SWITCH_FEED, RunKind.THREE_WAY, RunKind.HOMERUN, RunKind.WHIP}
)
PANEL = "panel"
_GAUGE = re.compile(r"(\d+)/\d+$")


@dataclass(frozen=True, slots=True)
class Loss:
    """What is lost from the source to a run's far end. volts and percent for lights, db (positive: lost) for speakers.

    from_panel False: the panel is not placed, so this is from the switch on.
    """

    volts: float | None = None
    percent: float | None = None
    db: float | None = None
    from_panel: bool = True


@dataclass(frozen=True, slots=True)
class SpeakerLoad:
    """What speakers ask of their wire. ohm: by speaker ID. A line: its volts and the watts of each tap."""

    ohm: Mapping[str, float]
    line_v: float | None = None
    tap_watts: float | None = None


def gauge(cable: str) -> int | None:
    """14 of '14/2' or 'speaker_14/2'; None where a cable's name tells no gauge."""
    found = _GAUGE.search(cable)
    return int(found[1]) if found else None


def power_losses(
    runs: Sequence[Run], amps: Mapping[str, float], volts: Mapping[str, float], usual_volts: float = 120.0
) -> dict[RunKey, Loss]:
    """Volts lost at the far end of every power run, all lights on.

    Args: amps: by light ID; a circuit with a light that isn't in it is left out: its load is not known.
    volts: by circuit, usual_volts where it isn't in it. Each run carries what hangs behind it, there and back.
    """
    losses: dict[RunKey, Loss] = {}
    for circuit in dict.fromkeys(run.circuit for run in runs if run.kind in POWER):
        mine = [run for run in runs if run.kind in POWER and run.circuit == circuit]
        losses |= _circuit_losses(mine, amps, volts.get(circuit, usual_volts))
    return losses


def _circuit_losses(runs: list[Run], amps: Mapping[str, float], volts: float) -> dict[RunKey, Loss]:
    lights = {end for run in runs for end in _lights(run)}
    if not lights <= amps.keys():
        return {}
    ends = {end for run in runs for end in (run.from_id, run.to_id)}
    fed = PANEL in ends
    source = PANEL if fed else next((run.from_id for run in runs if run.kind is RunKind.SWITCH_LEG), None)
    if source is None or any(gauge(run.cable) is None for run in runs):
        return {}
    walk = _outward(runs, source)
    behind: dict[str, float] = {}
    for _run, near, far in reversed(walk):
        own = amps[far] if far in lights else 0.0
        behind[near] = behind.get(near, 0.0) + own + behind.get(far, 0.0)
    lost, found = {source: 0.0}, {}
    for run, near, far in walk:
        carried = behind.get(far, 0.0) + (amps[far] if far in lights else 0.0)
        awg = gauge(run.cable)
        assert awg is not None  # looked at above
        lost[far] = lost[near] + carried * loop_ohm(awg, in_feet(run), POWER_TEMP_C)
        found[run.key] = Loss(volts=lost[far], percent=100 * lost[far] / volts, from_panel=fed)
    return found


def _lights(run: Run) -> Iterable[str]:
    """The ends of a run that are lights."""
    if run.kind is RunKind.HOP:
        return (run.from_id, run.to_id)
    return (run.to_id,) if run.kind in (RunKind.SWITCH_LEG, RunKind.WHIP) else ()


def _outward(runs: list[Run], source: str) -> list[tuple[Run, str, str]]:
    """Every run that hangs on the source, nearest first, with its near and its far end."""
    left, reached = list(runs), {source}
    walk: list[tuple[Run, str, str]] = []
    while True:
        here = next((run for run in left if (run.from_id in reached) != (run.to_id in reached)), None)
        if here is None:
            return walk
        near, far = (here.from_id, here.to_id) if here.from_id in reached else (here.to_id, here.from_id)
        left.remove(here)
        reached.add(far)
        walk.append((here, near, far))


def speaker_losses(runs: Sequence[Run], load: SpeakerLoad) -> dict[RunKey, Loss]:
    """Level lost to each speaker with a run of its own, and to the last speaker of a line.

    A line's taps are taken as spaced evenly between its first and its last: its own distances are added and shared out.
    """
    losses = {}
    for run in runs:
        awg = gauge(run.cable)
        ohm = load.ohm.get(run.from_id) or load.ohm.get(run.to_id)
        if run.kind is RunKind.SPEAKER and ohm and awg:
            losses[run.key] = Loss(db=loss_db(awg, in_feet(run), ohm))
    line = [run for run in runs if run.kind is RunKind.SPEAKER_LINE]
    awg = gauge(line[0].cable) if line else None
    if line and awg and load.line_v and load.tap_watts:
        between = [in_feet(run) for run in line[1:]]
        spacing = sum(between) / len(between) if between else 0.0
        level = last_tap_db(load.line_v, awg, in_feet(line[0]), spacing, len(line), load.tap_watts, WIRE_TEMP_C)
        losses[line[-1].key] = Loss(db=-level)
    return losses


def in_feet(run: Run) -> float:
    return float(run.length.nm / feet(1).nm)
