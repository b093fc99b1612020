"""What the finish takes off a span of framing, and where the finished ceiling then stands. Knows nothing of marks.

One span at a time: across the room, down the room, or floor to framing for the height.

    framing |<- layers ->|<- gap ->|======= ceiling, edge to edge =======|<- gap ->|<- layers ->| framing
            |            |         0 (positions are from here)           |
            0      finished wall

`start` is the side positions are measured from (the zero side), `end` the other one.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from layout.engine.lengths import ZERO, Distance, Length, LengthError, Style, Tape, Unit


class NothingLeft(LengthError):
    """The build-up leaves no ceiling between the framing. The message names what eats it."""


class LargerThanFraming(LengthError):
    """The measured ceiling and its build-up take more than the framing gives: one of the readings is off."""


class Holds(StrEnum):
    """Which side is known to stand as planned when the measured ceiling differs from the sum."""

    START = "start"
    END = "end"
    SPLIT = "split"  # each side takes half of the difference
    UNKNOWN = "unknown"  # nobody looked: split, and said to be assumed


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer between framing and finish: furring, channel, board. Thickness as built, not as named."""

    name: str
    thickness: Length

    def __post_init__(self) -> None:
        if self.thickness < ZERO:
            raise LengthError(f"{self.name or 'Layer'}: a thickness is not below zero.")


@dataclass(frozen=True, slots=True)
class SideBuildUp:
    """What stands between the framing and the ceiling's edge on one side: layers, then an open gap if any."""

    layers: tuple[Layer, ...] = ()
    gap: Length = ZERO

    def __post_init__(self) -> None:
        if self.gap < ZERO:
            raise LengthError("Gap: a gap is not below zero.")

    @property
    def thickness(self) -> Length:
        """Framing to finished wall."""
        return sum((layer.thickness for layer in self.layers), start=Distance(ZERO.nm)).exact()

    @property
    def total(self) -> Length:
        """Framing to the ceiling's edge."""
        return (self.thickness + self.gap).exact()

    def spelled_out(self) -> str:
        parts = [f"{layer.name} {_said(layer.thickness)}" for layer in self.layers]
        if self.gap:
            parts.append(f"gap {_said(self.gap)}")
        return f"{_said(self.total)} ({', '.join(parts)})" if parts else "nothing"


@dataclass(frozen=True, slots=True)
class Span:
    """A framing span with its build-up on both sides. Made by net_span, so that something is always left."""

    framing: Distance
    start: SideBuildUp
    end: SideBuildUp

    @property
    def finished(self) -> Distance:
        """Finished wall to finished wall."""
        return self.framing - self.start.thickness - self.end.thickness

    @property
    def net(self) -> Distance:
        """The ceiling, edge to edge."""
        return self.framing - self.start.total - self.end.total

    @property
    def center_shift(self) -> Distance:
        """How far the ceiling's center stands from the framing's center, toward the end side when positive."""
        return (self.start.total - self.end.total) / 2


def net_span(framing: Distance, start: SideBuildUp, end: SideBuildUp) -> Span:
    """The span that is left of the framing. Raises NothingLeft. For a height: start is the floor, end the ceiling."""
    span = Span(framing=framing, start=start, end=end)
    if span.net <= ZERO:
        raise NothingLeft(
            f"Nothing is left of {_said(framing)} of framing: one side takes {start.spelled_out()}, "
            f"the other {end.spelled_out()}. Check the framing size and the layers."
        )
    return span


@dataclass(frozen=True, slots=True)
class Datums:
    """One ceiling span and what its positions are measured from.

    ceiling: edge to edge. start_gap and end_gap: finished wall to the ceiling's edge on either side. start_offset and
    end_offset: framing to that edge, None where the framing was never measured; never less than the gap. difference:
    measured less computed, zero where there was nothing to compare.
    assumed: nobody knows which side holds, so the difference was split.
    """

    ceiling: Distance
    start_gap: Distance
    end_gap: Distance
    start_offset: Distance | None = None
    end_offset: Distance | None = None
    difference: Distance = ZERO
    assumed: bool = False


def as_computed(span: Span) -> Datums:
    """Datums of a ceiling nobody has measured yet: framing less build-up."""
    return Datums(
        ceiling=span.net,
        start_gap=span.start.gap,
        end_gap=span.end.gap,
        start_offset=span.start.total,
        end_offset=span.end.total,
    )


def as_measured(measured: Distance, start_gap: Distance = ZERO, end_gap: Distance = ZERO) -> Datums:
    """Datums of a finished ceiling whose framing was never measured."""
    if measured <= ZERO:
        raise LengthError("Finished ceiling: it is measured edge to edge and is more than zero.")
    return Datums(ceiling=measured, start_gap=start_gap, end_gap=end_gap)


def reconcile(span: Span, measured: Distance, holds: Holds) -> Datums:
    """Datums where the measured ceiling, edge to edge, differs from framing less build-up.

    The measured number is the ceiling. The difference is taken up on the side that does not hold, so that
    start_offset + measured + end_offset = framing, exactly. Where a gap was planned the gap takes it: layers stand as
    entered, and the finished walls as far apart as they are. Raises LargerThanFraming when it can't be taken up.
    """
    if measured <= ZERO:
        raise LengthError("Finished ceiling: it is measured edge to edge and is more than zero.")
    difference = measured - span.net
    at_start = {Holds.START: ZERO, Holds.END: difference}.get(holds, difference / 2)
    start_offset = span.start.total - at_start
    end_offset = span.end.total - (difference - at_start)
    if start_offset < ZERO or end_offset < ZERO:
        raise LargerThanFraming(
            f"Finished ceiling: {_said(measured)} was read where {_said(span.net)} is computed from "
            f"{_said(span.framing)} of framing. Measure both again, or say which side holds."
        )
    return Datums(
        ceiling=measured,
        start_gap=_gap_left(span.start, start_offset),
        end_gap=_gap_left(span.end, end_offset),
        start_offset=start_offset,
        end_offset=end_offset,
        difference=difference,
        assumed=holds is Holds.UNKNOWN,
    )


def _gap_left(side: SideBuildUp, offset: Distance) -> Distance:
    """What is open between the finished wall and the ceiling's edge. A ceiling planned against the wall stays there."""
    return max(offset - side.thickness, ZERO) if side.gap else ZERO


def on_whole_ticks(net: Distance, unit: Unit) -> tuple[Length, Distance]:
    """The whole ticks a layout stands on, and the remainder below one tick, which is held at the far wall."""
    ticks = net.nm // unit.tick.nm
    whole = (ticks * unit.tick).exact()
    return whole, net - whole


def _said(distance: Distance) -> str:
    """For messages, which don't know the shop's tape: inches and millimeters."""
    return f"{Tape(Style.INCHES, 64).show(distance)} ({Tape(Style.MM, 1).show(distance)})"
