"""Box fill with its count explained line by line, and boxes that hold it. Knows no rooms and no Django.

A caution to check against the adopted code, the volume marked on the part and its label: luminaire boxes carry their
own limit of conductors, which outside size doesn't tell. Table values come in as values: the trade's table has them.
Source: NEC 314.16, 2017 to 2023 (text quoted in public, seen, except where a line says from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import floor

from layout.engine.wiring.conductors import ElectricalError, in_words

QUARTER_SINCE = 2020  # grounds beyond four add a quarter each from this edition on; before, all grounds were one
GROUNDS_IN_ONE = 4
FIRST_EDITION, LAST_EDITION = 1999, 2099
LATEST_EDITION = 2023


class What(StrEnum):
    """What takes room in a box. Pigtails that never leave it, connectors outside and the cover take none."""

    CONDUCTORS = "conductors"
    LOOPS = "loops of unbroken conductor"
    CLAMPS = "internal clamps"
    STUDS = "studs and hickeys"
    DEVICES = "devices"
    GROUNDS = "grounds"
    ISOLATED_GROUNDS = "isolated grounds"


@dataclass(frozen=True, slots=True)
class Conductors:
    """So many conductors of one gauge."""

    awg: int
    count: int


@dataclass(frozen=True, slots=True)
class Device:
    """So many switches, dimmers or receptacles, by the largest conductor connected to each. gangs: that one takes."""

    awg: int
    count: int = 1
    gangs: int = 1


@dataclass(frozen=True, slots=True)
class Box:
    """A box by its volume. gangs: devices side by side; 0: a junction box. marked: the part's own mark counts."""

    key: str
    name: str
    in3: float
    gangs: int
    marked: bool
    source: str


@dataclass(frozen=True, slots=True)
class BoxTable:
    """in3 each conductor takes by gauge, with its source, and the boxes there are."""

    allowances_in3: Mapping[int, float]
    allowances_source: str
    boxes: tuple[Box, ...]


@dataclass(frozen=True, slots=True)
class Counted:
    """One line of the count: so many allowances (quarters happen) of in3_each, for a reason."""

    what: What
    awg: int
    count: float
    in3_each: float
    why: str

    @property
    def in3(self) -> float:
        return self.count * self.in3_each


@dataclass(frozen=True, slots=True)
class BoxFill:
    in3: float
    counted: tuple[Counted, ...]
    edition: int


def fill(
    table: BoxTable,
    conductors: Iterable[Conductors] = (),
    grounds: Iterable[Conductors] = (),
    devices: Iterable[Device] = (),
    *,
    internal_clamps: bool = False,
    edition: int = LATEST_EDITION,
    isolated_grounds: Iterable[Conductors] = (),
    loops: Iterable[Conductors] = (),
    studs: int = 0,
) -> BoxFill:
    """Cubic inches a box must have, with the lines that make them up.

    Args: conductors: each that enters and ends, is spliced or passes straight through; not pigtails. loops: unbroken
    ones coiled with 12 in or more, two allowances each. edition: of the code, a year. Raises ElectricalError for a
    gauge the table lacks, and for clamps or studs in a box with no conductor.
    """
    if not FIRST_EDITION <= edition <= LAST_EDITION:
        raise ElectricalError(f"Edition: {edition} is no code edition. Give its year, such as {LATEST_EDITION}.")
    wires, looped, earths, isolated = (_present(some) for some in (conductors, loops, grounds, isolated_grounds))
    fitted = tuple(device for device in devices if device.count)
    counted = [
        _each(table, What.CONDUCTORS, some, 1, "each that ends, is spliced or passes through: 1") for some in wires
    ]
    counted += [_each(table, What.LOOPS, some, 2, "each loop of 12 in or more, unbroken: 2") for some in looped]
    present = [some.awg for some in (*wires, *looped, *earths, *isolated)] + [device.awg for device in fitted]
    largest = min(present, default=None)
    for what, count, why in (
        (What.CLAMPS, int(internal_clamps), "all clamps inside together: 1 of the largest conductor in the box"),
        (What.STUDS, studs, "each stud or hickey: 1 of the largest conductor in the box"),
    ):
        if count and largest is None:
            raise ElectricalError(
                f"{what.value.capitalize()}: they count as the largest conductor. Enter the conductors."
            )
        if count and largest is not None:
            counted.append(Counted(what, largest, count, allowance(table, largest), why))
    counted += [_device(table, device) for device in fitted]
    for what, some in ((What.GROUNDS, earths), (What.ISOLATED_GROUNDS, isolated)):
        if some:
            counted.append(_grounds(table, what, some, edition))
    return BoxFill(sum(line.in3 for line in counted), tuple(counted), edition)


def allowance(table: BoxTable, awg: int) -> float:
    """in3 one conductor takes. Raises ElectricalError for a gauge the table lacks."""
    try:
        return table.allowances_in3[awg]
    except KeyError:
        known = ", ".join(str(one) for one in sorted(table.allowances_in3, reverse=True))
        raise ElectricalError(f"Gauge: {in_words(awg)} has no allowance in a box. Give one of {known} AWG.") from None


def capacity(table: BoxTable, volume_in3: float, awg: int) -> int:
    """How many conductors of one gauge a volume holds: floor(volume / allowance).

    Copies of Table 314.16(A) print 5 of 8 AWG in the 12.5 in3 box; 5 x 3.00 is 15.0. The smaller one is given.
    """
    if not volume_in3 > 0:
        raise ElectricalError("Volume: give more than 0 cubic inches.")
    return floor(Fraction(str(volume_in3)) / Fraction(str(allowance(table, awg))))


def choose(table: BoxTable, fill_in3: float, gangs: int = 0) -> tuple[Box, ...]:
    """The boxes of the table that hold a fill, for so many gangs, the smallest first; empty when none does."""
    holds = (box for box in table.boxes if box.gangs == gangs and box.in3 >= fill_in3)
    return tuple(sorted(holds, key=lambda box: (box.in3, box.key)))


def _present(some: Iterable[Conductors]) -> tuple[Conductors, ...]:
    return tuple(one for one in some if one.count)


def _each(table: BoxTable, what: What, some: Conductors, times: int, why: str) -> Counted:
    return Counted(what, some.awg, times * some.count, allowance(table, some.awg), why)


def _device(table: BoxTable, device: Device) -> Counted:
    why = (
        f"each yoke: 2 of the largest conductor connected to it{', for each gang it takes' if device.gangs > 1 else ''}"
    )
    return Counted(What.DEVICES, device.awg, 2 * device.count * device.gangs, allowance(table, device.awg), why)


def _grounds(table: BoxTable, what: What, some: Sequence[Conductors], edition: int) -> Counted:
    count = sum(one.count for one in some)
    extra = max(count - GROUNDS_IN_ONE, 0) if edition >= QUARTER_SINCE else 0
    why = "all of them: 1 of the largest" if edition < QUARTER_SINCE else "up to four: 1 of the largest, each more: 1/4"
    largest = min(one.awg for one in some)
    return Counted(what, largest, 1 + extra / 4, allowance(table, largest), why)
