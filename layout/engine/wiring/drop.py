"""Voltage drop along a run or a chain of lights, each by a named model of the load. Knows no code limits, no Django.

Lengths are one way; the factor 2 for there and back stands once in each function. Which model a load follows is the
caller's to say: at a constant current the load takes watts / volts whatever reaches it; at a constant power (drivers,
regulated supplies) it takes more current as the voltage sags; tape at a constant voltage behaves nearer to a constant
current or resistance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from layout.engine.wiring.conductors import ElectricalError, loop_ohm

MOST_LOADS = 100_000


class CannotBeFed(ElectricalError):
    """A load of constant power that takes more than the run can carry at any voltage."""


def by_constant(K: float, amps: float, one_way_ft: float, cmil: float) -> float:
    """Volts lost, by the K method: 2 K I L / circular mils, single phase or DC, power factor near 1.

    K = 12.9 is copper at 75 C (seen), 21.2 aluminum (from memory). Source: exam-prep worked example (seen); K 12.9 lies
    2 % above NEC chapter 9 Table 8 for solid copper, and at its figure for strand.
    """
    _over_zero("Circular mils", cmil)
    return 2 * K * amps * one_way_ft / cmil


def along(segments_ohm: Sequence[float], amps: Sequence[float]) -> tuple[float, ...]:
    """Volts lost at each load of a chain, the nearest first, at constant currents.

    segments_ohm: loop resistance of the segment before each load. Each carries its own load's current and all beyond.
    Source: Kirchhoff's laws.
    """
    if len(segments_ohm) != len(amps):
        raise ElectricalError("Chain: give one segment for each load.")
    carried = sum(amps)
    volts, lost = [], 0.0
    for ohm, own in zip(segments_ohm, amps, strict=True):
        lost += ohm * carried
        volts.append(lost)
        carried -= own
    return tuple(volts)


def branching(parents: Sequence[int | None], segments_ohm: Sequence[float], amps: Sequence[float]) -> tuple[float, ...]:
    """Volts lost at each load of a run that branches, at constant currents. The worst is not always the farthest.

    Args: parents: for each load the place of the one it is fed through, None for the source; a load stands after its
    parent. segments_ohm: loop resistance between the two. amps: of the load alone.
    Source: Kirchhoff's laws, walking the tree.
    """
    if not len(parents) == len(segments_ohm) == len(amps):
        raise ElectricalError("Run: give one parent, one segment and one current for each load.")
    carried = list(amps)
    for place in reversed(range(len(parents))):
        parent = parents[place]
        if parent is not None:
            if not 0 <= parent < place:
                raise ElectricalError(f"Run: load {place + 1} is to be fed through one that stands before it.")
            carried[parent] += carried[place]
    volts: list[float] = []
    for place, parent in enumerate(parents):
        volts.append((0.0 if parent is None else volts[parent]) + segments_ohm[place] * carried[place])
    return tuple(volts)


def chain(ohm_per_kft: float, home_run_ft: float, spacing_ft: float, count: int, amps_each: float) -> float:
    """Volts lost at the last of `count` equal loads: the home run to the first, then one spacing to each next.

    Two conductors; each segment carries all the current downstream of it, at constant current.
    """
    if not 1 <= count <= MOST_LOADS:
        raise ElectricalError(f"Count: {count} is outside 1 to {MOST_LOADS} loads on one chain.")
    loop = 2 * ohm_per_kft / 1000
    # Counted from the far end, the segment before load k from the end carries k loads.
    return loop * amps_each * (home_run_ft * count + spacing_ft * (count * (count - 1) / 2))


def chain_factor(count: int) -> float:
    """Drop at the last of equal loads one spacing apart, the first one spacing out, against all of them at the end.

    (n + 1) / (2 n): 1 for one load, toward a half for many. Source: closed form of the sum over the segments.
    """
    if not 1 <= count <= MOST_LOADS:
        raise ElectricalError(f"Count: {count} is outside 1 to {MOST_LOADS} loads on one chain.")
    return (count + 1) / (2 * count)


def longest_run(ohm_per_kft: float, volts: float, watts: float, limit_percent: float) -> float:
    """The longest run in feet, one way, that loses at most limit_percent of volts, at the current watts / volts.

    3 % for a branch circuit and 5 % with its feeder are recommendations (NEC informational notes to 210.19 and 215.2,
    2017 to 2023, seen), rules only where a specification, energy code or amendment makes them so.
    """
    for what, value in (("Resistance", ohm_per_kft), ("Volts", volts), ("Watts", watts)):
        _over_zero(what, value)
    amps = watts / volts
    return volts * limit_percent / 100 / (2 * ohm_per_kft / 1000 * amps)


def constant_power(
    volts: float, watts: float, awg: int, one_way_ft: float, temp_c: float = 20.0, stranded: bool = False
) -> float:
    """Volts that reach a load which takes the same watts at any voltage: drivers, regulated supplies.

    V = (Vs + root(Vs^2 - 4 P R)) / 2, R the loop resistance. Raises CannotBeFed where there is no real root: past
    Vs^2 / 4R the run itself eats what the load asks for. Source: Kirchhoff and the quadratic formula.
    """
    _over_zero("Volts", volts)
    loop = loop_ohm(awg, one_way_ft, temp_c, stranded)
    under_root = volts**2 - 4 * watts * loop
    if under_root < 0:
        most = volts**2 / (4 * loop)
        raise CannotBeFed(
            f"Watts: {watts:g} W can't be fed over this run, which can carry {most:.4g} W at most. "
            "Use a heavier gauge, a shorter run, less load or a higher voltage."
        )
    return (volts + math.sqrt(under_root)) / 2


def _over_zero(what: str, value: float) -> None:
    if not value > 0:
        raise ElectricalError(f"{what}: give more than 0.")
