"""Whether the readings of one room agree with each other. Knows nothing of layers or marks, or what square means.

       FL ------far------ FR        d1: door-left corner to far-right corner (DL to FR)
        |                  |        d2: door-right corner to far-left corner (DR to FL)
      left               right
        |                  |        door and far are left-to-right sizes,
       DL ------door----- DR        left and right are door-to-far sizes.

Four walls and one diagonal fix the shape; the other diagonal is one reading more than it needs, so it proves the rest.
Roots and angles are worked in floats of meters, whose error over 100 m is far below the micrometer results are good to.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, fields
from enum import StrEnum
from fractions import Fraction

from layout.engine.lengths import ZERO, Distance, Length, LengthError, Style, feet, inches, mm, nanometers

NM_PER_M = 10**9
TAPE_CLASS = Fraction(1, 16 * 12 * 25)  # 1/16 in per 25 ft, near class II: 0.3 + 0.2 mm per m (2014/32/EU, from memory)
LASER_CLASS = inches("1/16")  # at any length indoors. Common practice, no source.
COVERAGE = 3  # of a standard uncertainty: a sound room is stopped about once in 400


class DoesNotClose(LengthError):
    """These sizes can't meet in a corner: one of them is far off."""


class Instrument(StrEnum):
    TAPE = "tape"
    LASER = "laser"


# One wall, read up to three times


@dataclass(frozen=True, slots=True)
class WallReading:
    """One reading of one size, and how high above the floor it was taken (None: not written down)."""

    value: Length
    height: Length | None = None


@dataclass(frozen=True, slots=True)
class WallReadings:
    """One to three readings of the same size. Walls bow and lean, so what they are used for decides which counts."""

    readings: tuple[WallReading, ...]

    def __post_init__(self) -> None:
        if not 1 <= len(self.readings) <= 3:
            raise LengthError("A size is read one to three times: at both ends and in the middle.")

    @property
    def clearance(self) -> Length:
        """The shortest: what must fit, fits here. Common practice, no source."""
        return min(reading.value for reading in self.readings)

    @property
    def center(self) -> Distance:
        """What is centered on. Common practice, no source.

        Of three, the one taken at the middle height when three different heights are known, else the middle value;
        of two, their mean.
        """
        if len(self.readings) == 2:
            return (self.readings[0].value + self.readings[1].value) / 2
        heights = {reading.height: reading.value for reading in self.readings if reading.height is not None}
        if len(heights) == 3:
            return heights[sorted(heights)[1]]
        return sorted(reading.value for reading in self.readings)[len(self.readings) // 2]


# Four walls and two diagonals


class Subject(StrEnum):
    """What was measured."""

    DOOR = "door"
    FAR = "far"
    LEFT = "left"
    RIGHT = "right"
    D1 = "d1"
    D2 = "d2"


@dataclass(frozen=True, slots=True)
class RoomReadings:
    """The six readings of one room; None for what was not measured. All are more than zero."""

    door: Distance | None = None
    far: Distance | None = None
    left: Distance | None = None
    right: Distance | None = None
    d1: Distance | None = None
    d2: Distance | None = None

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if value is not None and value <= ZERO:
                raise LengthError(f"{field.name}: a reading is more than zero.")

    def of(self, subject: Subject) -> Distance | None:
        value: Distance | None = getattr(self, subject.value)
        return value

    @property
    def missing(self) -> tuple[Subject, ...]:
        return tuple(subject for subject in Subject if self.of(subject) is None)


def predicted_diagonal(door: Distance, far: Distance, left: Distance, right: Distance, d1: Distance) -> Length:
    """What d2 must read, from four walls and d1. Good to a micrometer.

    d1 parts the room into two triangles: door, right, d1 and far, left, d1. Raises DoesNotClose when one can't be.
    To get d1 from d2, mirror the room: predicted_diagonal(door, far, right, left, d2).
    """
    sides = tuple(_meters(side) for side in (door, far, left, right, d1))
    d2 = _other_diagonal(*sides)
    if d2 is None:
        raise DoesNotClose("Two walls and the diagonal across them can't meet: measure all three again.")
    return nanometers(round(d2 * NM_PER_M))


def _meters(distance: Distance) -> float:
    return float(distance.nm / NM_PER_M)


def _other_diagonal(door: float, far: float, left: float, right: float, d1: float) -> float | None:
    """In meters; None when a triangle can't be. d1 lies along the x axis, DR below it and FL above it."""
    right_corner = _apex(door, right, d1)
    left_corner = _apex(left, far, d1)
    if right_corner is None or left_corner is None:
        return None
    return math.hypot(right_corner[0] - left_corner[0], right_corner[1] + left_corner[1])


def _apex(from_start: float, from_end: float, base: float) -> tuple[float, float] | None:
    along = (from_start**2 - from_end**2 + base**2) / (2 * base)
    height_squared = from_start**2 - along**2
    return (along, math.sqrt(height_squared)) if height_squared > 0 else None


class TapeCheckStatus(StrEnum):
    OK = "ok"
    ONE_OF_THESE = "one of these readings"
    NOT_ENOUGH = "not enough readings"


class Slip(StrEnum):
    """How a reading goes wrong."""

    ONE_INCH = "one inch"  # a burned inch not taken off, or the wrong side of the mark
    ONE_FOOT = "one foot"
    ONE_CENTIMETER = "one centimeter"
    TEN_CENTIMETERS = "ten centimeters"
    TAPE_CASE = "tape case"  # inside measure: the case was not added
    LASER_BODY = "laser body"  # measured from the front edge while set to the rear, or the other way
    SWAPPED_DIGITS = "swapped digits"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A reading, how it may have slipped, and what it would be had it not. The six readings would then agree."""

    subject: Subject
    slip: Slip
    would_be: Distance


@dataclass(frozen=True, slots=True)
class TapeCheck:
    """Whether six readings agree.

    miss: measured d2 less predicted d2; None when it can't be worked out (too few readings, or walls that can't meet).
    allowed: how large a miss honest reading explains. candidates: slips that would explain it, none named the culprit.
    """

    status: TapeCheckStatus
    missing: tuple[Subject, ...] = ()
    miss: Length | None = None
    allowed: Length | None = None
    candidates: tuple[Candidate, ...] = ()


def tape_check(
    readings: RoomReadings, fineness: Length, instrument: Instrument = Instrument.TAPE, style: Style = Style.INCHES
) -> TapeCheck:
    """Whether four walls and two diagonals agree, and if not, which single slips would explain it.

    Args: fineness: what was read to (1/8 in, 1 mm). style: how the readings were written, for swapped digits.

    allowed = 3 x root of the sum of (c x u)^2 over the six readings. c says how far the other diagonal moves when that
    reading does; u is the standard uncertainty of two rectangular errors, half the fineness and the instrument's class.
    Source: JCGM 100:2008 (GUM), 4.3.7 and 5.1.2, from memory. In a 20 x 14 ft room read to 1/16 in it comes near the
    1/4 in of common practice.
    """
    if readings.missing:
        return TapeCheck(TapeCheckStatus.NOT_ENOUGH, missing=readings.missing)
    sides = {subject: _known(readings, subject) for subject in Subject}
    closure = _closure(sides, fineness, instrument)
    if closure and abs(closure.miss) <= closure.allowed:
        return TapeCheck(TapeCheckStatus.OK, miss=_length(closure.miss), allowed=_length(closure.allowed))
    candidates = []
    for subject, value in sides.items():
        for slip, would_be in _without_slip(value, instrument, style):
            then = _closure({**sides, subject: would_be}, fineness, instrument)
            if then and abs(then.miss) <= then.allowed:
                candidates.append(Candidate(subject, slip, would_be))
    return TapeCheck(
        TapeCheckStatus.ONE_OF_THESE,
        miss=_length(closure.miss) if closure else None,
        allowed=_length(closure.allowed) if closure else None,
        candidates=tuple(candidates),
    )


def _known(readings: RoomReadings, subject: Subject) -> Distance:
    value = readings.of(subject)
    assert value is not None
    return value


def _length(meters: float) -> Length:
    return nanometers(round(meters * NM_PER_M))


@dataclass(frozen=True, slots=True)
class _Closure:
    miss: float  # meters
    allowed: float  # meters


FOUND_BY = (Subject.DOOR, Subject.FAR, Subject.LEFT, Subject.RIGHT, Subject.D1)


def _closure(sides: dict[Subject, Distance], fineness: Length, instrument: Instrument) -> _Closure | None:
    """miss and allowed for six readings, or None when they can't meet."""
    known = [_meters(sides[subject]) for subject in FOUND_BY]
    predicted = _other_diagonal(*known)
    if predicted is None:
        return None
    squares = _standard_uncertainty_squared(sides[Subject.D2], fineness, instrument)
    step = 1e-5  # meters: small beside a room, large beside the last bit of a float
    for at, subject in enumerate(FOUND_BY):
        more = _other_diagonal(*[side + step * (at == other) for other, side in enumerate(known)])
        less = _other_diagonal(*[side - step * (at == other) for other, side in enumerate(known)])
        if more is None or less is None:  # flat as a needle: no room
            return None
        moves = (more - less) / (2 * step)
        squares += moves**2 * _standard_uncertainty_squared(sides[subject], fineness, instrument)
    return _Closure(miss=_meters(sides[Subject.D2]) - predicted, allowed=COVERAGE * math.sqrt(squares))


def _standard_uncertainty_squared(value: Distance, fineness: Length, instrument: Instrument) -> float:
    class_error = value * TAPE_CLASS if instrument is Instrument.TAPE else LASER_CLASS
    return (_meters(fineness / 2) ** 2 + _meters(class_error) ** 2) / 3


def _without_slip(value: Distance, instrument: Instrument, style: Style) -> Iterator[tuple[Slip, Distance]]:
    """What the reading would be without each slip it may have had."""
    either_way: tuple[tuple[Slip, Length], ...] = (
        ((Slip.ONE_CENTIMETER, mm(10)), (Slip.TEN_CENTIMETERS, mm(100)))
        if style is Style.MM
        else ((Slip.ONE_INCH, inches(1)), (Slip.ONE_FOOT, feet(1)))
    )
    if instrument is Instrument.LASER:
        either_way = (*either_way, (Slip.LASER_BODY, inches("4 1/2")))
    else:
        yield Slip.TAPE_CASE, value + inches(3)
        yield Slip.TAPE_CASE, value + inches("3 1/2")
    for slip, size in either_way:
        yield slip, value + size
        if value > size:
            yield slip, value - size
    for would_be in _digits_swapped(value, style):
        yield Slip.SWAPPED_DIGITS, would_be


def _digits_swapped(value: Distance, style: Style) -> Iterator[Distance]:
    """The value with two neighboring digits exchanged, as it was written: whole inches, whole feet, or mm."""
    unit = mm(1) if style is Style.MM else inches(1)
    whole = value.nm // unit.nm
    rest = value - whole * unit
    if style is not Style.FEET_INCHES:
        yield from (other * unit + rest for other in _swaps(whole))
        return
    whole_feet, whole_inches = divmod(whole, 12)
    yield from (feet(other) + whole_inches * unit + rest for other in _swaps(whole_feet))


def _swaps(number: int) -> Iterator[int]:
    digits = str(number)
    for at in range(len(digits) - 1):
        swapped = digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :]
        if swapped != digits and swapped[0] != "0":
            yield int(swapped)
