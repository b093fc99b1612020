"""What hangs on each switch and circuit, and what goes into each switch box. Knows no records and no Django.

Cautions to check against the adopted code and each product's sheet, never a statement that a circuit complies. What
nobody has read off a label is counted as not known, and named so.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from layout.engine.wiring import boxes, circuits, dimmers
from layout.engine.wiring.boxes import Box, BoxFill, BoxTable, Conductors, Device
from layout.engine.wiring.dimmers import DimmerProduct, Load, NotOnSheet, TroubleKind


@dataclass(frozen=True, slots=True)
class LightLoad:
    """So many alike lights. watts, va: of each, None where nobody knows."""

    count: int
    watts: float | None
    va: float | None


@dataclass(frozen=True, slots=True)
class Sum:
    """What is known of some lights' load, and of how many it isn't known.

    va: what is known in VA, with the watts of those whose power factor isn't known: they draw no less. va_unknown: of
    how many lights the VA isn't known; watts_unknown: of how many not even the watts.
    """

    lights: int = 0
    watts: float = 0
    watts_unknown: int = 0
    va: float = 0
    va_unknown: int = 0

    def __add__(self, other: Sum) -> Sum:
        return Sum(
            self.lights + other.lights,
            self.watts + other.watts,
            self.watts_unknown + other.watts_unknown,
            self.va + other.va,
            self.va_unknown + other.va_unknown,
        )


def load_of(lights: Iterable[LightLoad]) -> Sum:
    found = Sum()
    for some in lights:
        least_va = some.va if some.va is not None else some.watts
        found += Sum(
            some.count,
            some.count * (some.watts or 0),
            some.count if some.watts is None else 0,
            some.count * (least_va or 0),
            some.count if some.va is None else 0,
        )
    return found


# Controls in their boxes


class Control(StrEnum):
    SWITCH = "switch"
    DIMMER = "dimmer"


@dataclass(frozen=True, slots=True)
class InBox:
    """One zone's device in a switch box, left to right by place, then by letter.

    product: a dimmer's sheet, None where none was chosen. sections_come_off: None where the sheet wasn't read. awg: of
    the conductors on it. travelers: of a 3-way pair. leg: its lights are fed from here. circuit: its name.
    """

    letter: str
    control: Control
    awg: int
    circuit: str = ""
    place: int | None = None
    gangs: int = 1
    product: DimmerProduct | None = None
    sections_come_off: bool | None = None
    three_way: bool = False
    leg: bool = True


def in_order(devices: Iterable[InBox]) -> tuple[InBox, ...]:
    return tuple(sorted(devices, key=lambda one: (one.place or 99, one.letter)))


def sides_off(devices: Sequence[InBox], at: int) -> int:
    """How many sides of the device at this place (from 0) stand against another one.

    Whatever stands there, the section is taken as broken off: the lower rating. Common practice, no source.
    """
    return dimmers.sides_removed(len(devices), at + 1)


class Said(StrEnum):
    """What there is to say of a zone's load on its dimmer."""

    KEEPS = "keeps"  # nothing on the sheet speaks against it
    TOO_MUCH = "too_much"
    TOO_LITTLE = "too_little"
    LEAST_UNKNOWN = "least_unknown"
    NO_PRODUCT = "no_product"
    NOT_ON_SHEET = "not_on_sheet"
    SECTIONS_UNKNOWN = "sections_unknown"
    WATTS_UNKNOWN = "watts_unknown"


@dataclass(frozen=True, slots=True)
class OnDimmer:
    """A zone on its dimmer. limit_w: the rating as it stands in its box; least_w: of the sheet. off: sides off."""

    letter: str
    said: tuple[Said, ...]
    off: int = 0
    limit_w: float | None = None
    least_w: float | None = None


def on_dimmer(devices: Sequence[InBox], at: int, load: Sum) -> OnDimmer:
    """devices: of the box, in order; at: the zone's, from 0. LED lamps, by the product's own sheet."""
    one = devices[at]
    off = sides_off(devices, at)
    if one.product is None:
        return OnDimmer(one.letter, (Said.NO_PRODUCT,), off)
    if off and one.sections_come_off is None:
        return OnDimmer(one.letter, (Said.SECTIONS_UNKNOWN,), off)
    removed = off if one.sections_come_off else 0
    try:
        limit = dimmers.rating(one.product, Load.LED, removed)
        troubles = {trouble.kind for trouble in dimmers.suits(one.product, Load.LED, load.watts, removed)}
    except NotOnSheet:
        return OnDimmer(one.letter, (Said.NOT_ON_SHEET,), off)
    least = one.product.least.get(Load.LED)
    said = []
    if TroubleKind.TOO_MUCH in troubles:
        said.append(Said.TOO_MUCH)
    if load.watts_unknown:
        said.append(Said.WATTS_UNKNOWN)
    elif TroubleKind.TOO_LITTLE in troubles:
        said.append(Said.TOO_LITTLE)
    if TroubleKind.LEAST_UNKNOWN in troubles:
        said.append(Said.LEAST_UNKNOWN)
    return OnDimmer(one.letter, tuple(said) or (Said.KEEPS,), off, limit, least)


@dataclass(frozen=True, slots=True)
class Cable:
    """One cable that ends in a box: what for, its conductors and their gauge; each brings a ground."""

    why: CableWhy
    of: str  # a circuit's name or a zone's letter
    conductors: int
    awg: int


class CableWhy(StrEnum):
    FEED_IN = "feed_in"
    FEED_ON = "feed_on"
    LEG = "leg"
    TRAVELERS = "travelers"


@dataclass(frozen=True, slots=True)
class SwitchBox:
    """What goes into one switch box. choice: boxes of the table that hold it, the smallest first."""

    name: str
    devices: tuple[InBox, ...]
    cables: tuple[Cable, ...]
    gangs: int
    fill: BoxFill
    choice: tuple[Box, ...]


def switch_box(
    name: str, devices: Iterable[InBox], table: BoxTable, *, feeds_on: Iterable[str] = (), edition: int
) -> SwitchBox:
    """The count of one box: for each circuit a feed in, and one on where another box follows (feeds_on); for each zone
    a leg to its lights, and the travelers of a 3-way pair. Clamps are counted as inside the box.

    Raises ElectricalError for a gauge the table lacks.
    """
    ordered = in_order(devices)
    on = tuple(feeds_on)
    cables: list[Cable] = []
    for circuit in dict.fromkeys(one.circuit for one in ordered if one.leg):
        awg = min(one.awg for one in ordered if one.circuit == circuit)
        cables.append(Cable(CableWhy.FEED_IN, circuit, 2, awg))
        if circuit in on:
            cables.append(Cable(CableWhy.FEED_ON, circuit, 2, awg))
    for one in ordered:
        if one.leg:
            cables.append(Cable(CableWhy.LEG, one.letter, 2, one.awg))
        if one.three_way:
            cables.append(Cable(CableWhy.TRAVELERS, one.letter, 3, one.awg))
    gauges = sorted({cable.awg for cable in cables}, reverse=True)
    fill = boxes.fill(
        table,
        [Conductors(awg, sum(cable.conductors for cable in cables if cable.awg == awg)) for awg in gauges],
        [Conductors(awg, sum(cable.awg == awg for cable in cables)) for awg in gauges],
        [Device(one.awg, 1, one.gangs) for one in ordered],
        internal_clamps=bool(cables),
        edition=edition,
    )
    gangs = sum(one.gangs for one in ordered)
    return SwitchBox(name, ordered, tuple(cables), gangs, fill, boxes.choose(table, fill.in3, gangs))


# Circuits


@dataclass(frozen=True, slots=True)
class OnCircuit:
    """A circuit's load against what may run on it for hours: 80 % of its breaker, as lighting usually counts."""

    load: Sum
    most_va: float

    @property
    def over(self) -> bool:
        return self.load.va > self.most_va

    @property
    def known(self) -> bool:
        return not self.load.va_unknown

    @property
    def left_va(self) -> float:
        return max(0.0, self.most_va - self.load.va)


def on_circuit(breaker_amps: float, volts: float, load: Sum) -> OnCircuit:
    return OnCircuit(load, circuits.continuous_va(breaker_amps, volts))
