"""When the looks of a ceiling and the angles of its speakers disagree: what each choice costs of the other.

A speaker reads as one with the lights when it stands on a place of their pattern: the middle of a gap, say, or a
light's own line. What that costs is degrees off the channel's range; what the range costs is inches off the pattern.
The choice is a person's. Plan only, meters and degrees.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from layout.engine.sound.listening import MOST_LEEWAY_DEG, Channel, Seat, heard, move_to
from layout.engine.sound.nearest import inside
from layout.engine.sound.values import SoundError, Spot

STEPS = 40  # of the way from the pattern to the range
ALONG_M = 0.01  # how finely a line of the pattern is tried
FARTHEST_M = 3.0  # along a line of the pattern, either way
MOST_PLACES = 400
LITTLE_M, LITTLE_DEG = 1e-6, 1e-6  # less than this is no difference


class Kind(StrEnum):
    KEEP = "keep"  # where the pattern has it
    OTHER = "other"  # another place of the pattern
    IN_LINE = "in line"  # off its place, still in its row or column
    COMPROMISE = "compromise"  # part of the way
    MEET = "meet"  # the nearest place in range


@dataclass(frozen=True, slots=True)
class Choice:
    """off_pattern_m: to the nearest place of the pattern. off_deg: past the range, the worst seat's."""

    kind: Kind
    at: Spot
    off_pattern_m: float
    off_deg: float


@dataclass(frozen=True, slots=True)
class Costs:
    """The choices there are; None where one brings nothing over the one before it, or can't be had.

    azimuth_only: nowhere on this ceiling meets the elevation, so only the azimuth is counted and met.
    curve: from the pattern's place to the place in range, straight.
    """

    keep: Choice
    other: Choice | None
    in_line: Choice | None
    compromise: Choice | None
    meet: Choice | None
    curve: tuple[Choice, ...]
    azimuth_only: bool

    @property
    def all(self) -> tuple[Choice, ...]:
        each = (self.keep, self.other, self.in_line, self.compromise, self.meet)
        return tuple(one for one in each if one is not None)


@dataclass(frozen=True, slots=True)
class _Asked:
    z: float
    channel: Channel
    seats: Sequence[Seat]
    screen: Spot
    pattern: Sequence[Spot]
    leeway_deg: float
    outline: Sequence[Spot]

    def in_range(self, start: Spot) -> tuple[Spot | None, bool]:
        """The nearest place in range, for every seat or else the first; and whether only the azimuth can be met."""
        for elevation in (True, False):
            for seats in (self.seats, self.seats[:1]):
                found = move_to(
                    seats,
                    (*start, self.z),
                    self.channel,
                    self.screen,
                    leeway_deg=self.leeway_deg,
                    outline=self.outline,
                    elevation=elevation,
                )
                if found is not None:
                    return found, not elevation
        return None, False

    def choice(self, kind: Kind, at: Spot, azimuth_only: bool) -> Choice:
        told = [heard(seat, (*at, self.z), self.channel, self.screen, self.leeway_deg) for seat in self.seats]
        off = max(abs(one.off_azimuth_deg) if azimuth_only else one.off_deg for one in told)
        return Choice(kind, at, min(math.dist(at, place) for place in self.pattern), off)


def costs(
    here: Spot,
    z: float,
    channel: Channel,
    seats: Sequence[Seat],
    screen: Spot,
    pattern: Sequence[Spot],
    *,
    leeway_deg: float = 0.0,
    outline: Sequence[Spot] = (),
) -> Costs:
    """What keeping the pattern and meeting the angle cost each other, for one speaker.

    here: where it stands now; its place is the pattern's nearest. The way in range is for every seat where there is
    one, else for the first. The compromise is the point of the straight way between both where the two costs, each as a
    share of its whole, have the least sum of squares; a point that another choice beats in both costs is none. Raises
    SoundError: no seats, no pattern.
    """
    _some(seats, pattern, leeway_deg)
    asked = _Asked(z, channel, seats, screen, pattern, leeway_deg, outline)
    home = min(pattern, key=lambda place: math.dist(here, place))
    met, azimuth_only = asked.in_range(home)
    keep = asked.choice(Kind.KEEP, home, azimuth_only)
    others = [asked.choice(Kind.OTHER, place, azimuth_only) for place in pattern]
    in_line = [asked.choice(Kind.IN_LINE, place, azimuth_only) for place in _on_its_lines(home, outline)]
    meet = None if met is None else asked.choice(Kind.MEET, met, azimuth_only)
    curve = () if met is None else tuple(
        asked.choice(Kind.COMPROMISE, at, azimuth_only) for at in _way(home, met)
    )
    other, line = _better(others, keep), _better(in_line, keep)
    had = [one for one in (keep, other, line, meet) if one is not None]
    return Costs(
        keep,
        other,
        line,
        _between(had, keep, meet, curve),
        meet if meet is not None and meet.off_deg < keep.off_deg else None,
        curve,
        azimuth_only,
    )


def _better(found: Sequence[Choice], keep: Choice) -> Choice | None:
    """The one least off, the nearest of equals; None when none is less off than the place itself."""
    least = min(found, key=lambda one: (round(one.off_deg, 3), math.dist(one.at, keep.at)), default=None)
    return least if least is not None and least.off_deg < keep.off_deg else None


def _on_its_lines(home: Spot, outline: Sequence[Spot]) -> list[Spot]:
    along = np.arange(-FARTHEST_M, FARTHEST_M + ALONG_M / 2, ALONG_M)
    still = np.zeros_like(along)
    points = np.array(home) + np.concatenate([np.column_stack([along, still]), np.column_stack([still, along])])
    if outline:
        points = points[inside(outline, points)]
    return [(float(x), float(y)) for x, y in points]


def _way(home: Spot, met: Spot) -> list[Spot]:
    shares = (step / STEPS for step in range(STEPS + 1))
    return [(home[0] + share * (met[0] - home[0]), home[1] + share * (met[1] - home[1])) for share in shares]


def _between(others: Sequence[Choice], keep: Choice, meet: Choice | None, curve: Sequence[Choice]) -> Choice | None:
    """The knee of the way: only a point that no other choice, and no other point, beats in both costs at once."""
    if meet is None or not meet.off_deg < keep.off_deg or meet.off_pattern_m <= LITTLE_M:
        return None
    whole_m, whole_deg = meet.off_pattern_m, keep.off_deg - meet.off_deg
    left = [one for one in curve if not any(_beats(other, one) for other in (*others, *curve))]
    between = [one for one in left if meet.off_deg < one.off_deg < keep.off_deg and one.off_pattern_m > LITTLE_M]
    return min(
        between,
        key=lambda one: (one.off_pattern_m / whole_m) ** 2 + ((one.off_deg - meet.off_deg) / whole_deg) ** 2,
        default=None,
    )


def _beats(one: Choice, other: Choice) -> bool:
    """No dearer in either cost, and cheaper in one."""
    no_dearer = one.off_pattern_m <= other.off_pattern_m + LITTLE_M and one.off_deg <= other.off_deg + LITTLE_DEG
    return no_dearer and (
        one.off_pattern_m < other.off_pattern_m - LITTLE_M or one.off_deg < other.off_deg - LITTLE_DEG
    )


def _some(seats: Sequence[Seat], pattern: Sequence[Spot], leeway_deg: float) -> None:
    if not seats:
        raise SoundError("There is no seat to hear from: place one at least.", "seats")
    if not 1 <= len(pattern) <= MOST_PLACES:
        raise SoundError(f"{len(pattern)} places of a pattern: give 1 to {MOST_PLACES}.", "pattern")
    if not 0 <= leeway_deg <= MOST_LEEWAY_DEG:
        raise SoundError(f"{leeway_deg:g} degrees of leeway: give 0 to {MOST_LEEWAY_DEG:g}.", "leeway_deg")
