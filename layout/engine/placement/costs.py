"""What each position on one axis costs, and which marks read easily on a tape. Knows nothing of searching.

A room without framing or obstructions comes apart into its two axes: no rule joins a distance along the rows to one
across them. An `AxisProblem` is one of the two: `count` lines (columns or rows) mirrored about the axis's middle.

A cost is one whole number: broken rules in the high part, total excess in ticks in the low part, so that adding and
comparing costs adds and compares (rules broken, excess) in that order.
"""

from __future__ import annotations

from dataclasses import dataclass

from layout.engine.lengths import Unit
from layout.engine.placement.problem import QUARTERS, Setback

BROKEN = 1 << 40  # one broken rule; no excess adds up to this (7,200 holes x 4 rules x 91,440 ticks is under 2^32)
NEVER = 1 << 62  # outside the caps: such a layout doesn't exist


def up(value: int, step: int) -> int:
    """value / step, rounded up."""
    return -(-value // step)


def shortfall(needed: int, there: int) -> int:
    """The cost of one subject that has `there` quarter ticks and needs `needed`; touching is allowed."""
    return BROKEN + up(needed - there, QUARTERS) if there < needed else 0


def mark_cost(unit: Unit, tick: int) -> int:
    """How hard a mark is to read on a tape: inches 0, halves 1 ... sixteenths 4; 50 mm 0, 10 mm 1, 5 mm 2, 1 mm 3."""
    steps = (16, 8, 4, 2) if unit is Unit.INCH else (50, 10, 5)
    return next((cost for cost, step in enumerate(steps) if tick % step == 0), len(steps))


@dataclass(frozen=True, slots=True)
class Need:
    """A distance that `subjects` holes or pairs each need, in quarter ticks."""

    distance: int
    subjects: int


@dataclass(frozen=True, slots=True)
class AxisSpeakers:
    """Speakers between the lines. Distances in quarter ticks; `subjects` is how many rows carry the same speaker."""

    gaps: frozenset[int]
    off_max: int  # cap on the distance from mid-gap
    edge: int  # needed from center to net edge
    light: int  # needed from center to the center of a neighboring light
    subjects: int


@dataclass(frozen=True, slots=True)
class AxisProblem:
    """One axis of a room. Length, setback and spacing in ticks; needs and evenness in quarter ticks."""

    unit: Unit
    length: int
    count: int
    setback: Setback
    setback_subjects: int  # at each end
    spacing: int | None
    spacing_subjects: int  # for each gap
    edges: tuple[Need, ...]  # each line to each of the two net edges
    pairs: tuple[Need, ...]  # each line to the next
    even_tol: int
    uneven_cap: int
    speakers: AxisSpeakers | None = None

    @property
    def free(self) -> int:
        """Lines before the middle; their mirrors and a middle line follow from them."""
        return self.count // 2

    @property
    def middle(self) -> int:
        """The center line, in quarter ticks."""
        return 2 * self.length

    def middle_gap(self, x: int) -> int:
        """The gap that touches or straddles the center line when the last free line is at x, in quarter ticks."""
        return self.middle - QUARTERS * x if self.count % 2 else 2 * (self.middle - QUARTERS * x)

    def has_speaker(self, gap: int) -> bool:
        return self.speakers is not None and gap in self.speakers.gaps


class Costs:
    """The costs of one axis. Positions x and z are ticks from the zero edge, gaps and `right` quarter ticks.

    Costs of lines, gaps and speakers before the middle are for one side only: double them for the mirror.
    """

    def __init__(self, axis: AxisProblem) -> None:
        self.axis = axis
        self.ends = QUARTERS * axis.length
        self._speaker_by_gap: dict[int, int] = {}

    def start(self, x: int) -> int:
        """The setback rule of the first line at x, for one end."""
        setback, subjects = self.axis.setback, self.axis.setback_subjects
        short = max(setback.min - x, x - setback.max)
        return subjects * (BROKEN + short) if short > 0 else 0

    def line(self, x: int) -> int:
        """The edge rules of one line at x, against both edges."""
        there = QUARTERS * x
        return sum(
            n.subjects * (shortfall(n.distance, there) + shortfall(n.distance, self.ends - there))
            for n in self.axis.edges
        )

    def gap(self, gap: int) -> int:
        """The spacing rule and the web between the holes of two neighboring lines."""
        cost = sum(n.subjects * shortfall(n.distance, gap) for n in self.axis.pairs)
        if self.axis.spacing is not None:
            cost += self.axis.spacing_subjects * shortfall(gap, QUARTERS * self.axis.spacing)
        return cost

    def middle_speaker(self, gap: int) -> int:
        """The speaker on the center line of a middle gap: its two lights and the two edges."""
        speakers = self.axis.speakers
        assert speakers is not None
        # gap is a whole number of ticks here, so its half is whole quarter ticks
        cost = shortfall(speakers.light, gap // 2) + shortfall(speakers.edge, self.axis.middle)
        return 2 * speakers.subjects * cost

    def speaker(self, x: int, right: int) -> int:
        """The least cost of a speaker between a line at x and a line at `right`; NEVER when none has a place."""
        low, high = self._range(x, right)
        if low > high:
            return NEVER
        speakers = self.axis.speakers
        assert speakers is not None
        if QUARTERS * low >= speakers.edge and self.ends - QUARTERS * high >= speakers.edge:
            gap = right - QUARTERS * x  # far from both edges, only the gap counts
            if gap not in self._speaker_by_gap:
                self._speaker_by_gap[gap] = self._least(x, right, low, high)
            return self._speaker_by_gap[gap]
        return self._least(x, right, low, high)

    def speaker_beside(self, gap: int) -> int:
        """As `speaker`, edges left out: a lower bound that never rises with the gap.

        (One tick more lets the same speaker keep both its distances, half a tick nearer or further from mid-gap.)
        """
        low, high = self._range(0, gap)
        return NEVER if low > high else self._least(0, gap, low, high, edges=False)

    def place_speaker(self, x: int, right: int) -> tuple[int, int, int]:
        """Of the speakers with the least cost: (distance off mid-gap in quarter ticks, mark cost, z), least first."""
        low, high = self._range(x, right)
        least = self.speaker(x, right)
        twice_mid = QUARTERS * x + right
        near = range(max(low, up(twice_mid - 4, 8)), min(high, (twice_mid + 4) // 8) + 1)
        for zs in (near, range(low, high + 1)):
            fits = [
                (self._off(z, twice_mid), mark_cost(self.axis.unit, z), z)
                for z in zs
                if self._one(z, x, right) == least
            ]
            if fits:
                return min(fits)
        raise AssertionError("the least cost belongs to a place in range")

    def _off(self, z: int, twice_mid: int) -> int:
        off = abs(8 * z - twice_mid) // 2  # exact: twice_mid is even
        return off if off > 2 else 0  # half a tick is as near as a tape goes

    def _range(self, x: int, right: int) -> tuple[int, int]:
        """The whole ticks strictly inside the gap and inside the cap on the distance from mid-gap."""
        speakers = self.axis.speakers
        assert speakers is not None
        twice_mid = QUARTERS * x + right
        low = max(x + 1, up(twice_mid - 2 * speakers.off_max, 8))
        high = min((right - 1) // QUARTERS, (twice_mid + 2 * speakers.off_max) // 8)
        return low, high

    def _one(self, z: int, x: int, right: int, *, edges: bool = True) -> int:
        speakers = self.axis.speakers
        assert speakers is not None
        at = QUARTERS * z
        cost = shortfall(speakers.light, at - QUARTERS * x) + shortfall(speakers.light, right - at)
        if edges:
            cost += shortfall(speakers.edge, at) + shortfall(speakers.edge, self.ends - at)
        return speakers.subjects * cost

    def _least(self, x: int, right: int, low: int, high: int, *, edges: bool = True) -> int:
        """Between two places where a rule begins to hold the cost is linear, so its least value is beside one."""
        speakers = self.axis.speakers
        assert speakers is not None
        holds_from = (x + up(speakers.light, QUARTERS), up(speakers.edge, QUARTERS))
        holds_to = ((right - speakers.light) // QUARTERS, (self.ends - speakers.edge) // QUARTERS)
        beside = {low, high}
        beside.update(z for start in holds_from for z in (start - 1, start) if low < z < high)
        beside.update(z for end in holds_to for z in (end, end + 1) if low < z < high)
        return min(self._one(z, x, right, edges=edges) for z in beside)
