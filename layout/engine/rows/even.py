"""Lines spread evenly over one axis at a fixed distance off both walls, on a tape's marks. Knows ticks, no rooms.

    wall |<- setback ->|<- gap ->|<- gap ->|<- setback ->| wall

The first line stands where it is wanted, the last mirrors it, and no two gaps differ by more than a tick. What ticks
are left over go to the gaps that let the marks read most easily on a tape; of layouts alike in that, the one nearest
to the zero corner.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from layout.engine.lengths import Unit
from layout.engine.placement.costs import mark_cost


class Even(NamedTuple):
    """All lines, and the speakers in the gaps asked for, ascending, in half ticks."""

    lines: tuple[int, ...]
    speakers: tuple[int, ...]


def even(length: int, count: int, setback: int, unit: Unit, gaps: frozenset[int] = frozenset()) -> Even | None:
    """`count` lines on `length` ticks, the first `setback` ticks off the wall or as near to that as any can be.

    gaps: those that carry a speaker, gap 1 after line 1; they mirror. None when that many lines don't fit.
    """
    if count == 1:
        return Even((length,), ())
    axis = _Axis(length, count, unit, gaps)
    for off in range(max(setback, length) + 1):
        found = [best for at in {setback - off, setback + off} if (best := axis.best(at)) is not None]
        if found:
            return axis.mirrored(min(found))
    return None


class _Half(NamedTuple):
    """The lines before the middle and the speakers among them, in ticks. cost: how hard the marks are to read."""

    cost: int
    lines: tuple[int, ...]
    speakers: tuple[int, ...]


class _Axis:
    def __init__(self, length: int, count: int, unit: Unit, gaps: frozenset[int]) -> None:
        self.length, self.count, self.unit, self.gaps = length, count, unit, gaps
        self.free = count // 2  # lines before the middle

    def best(self, first: int) -> _Half | None:
        """The easiest to read of all even layouts that begin at that tick."""
        if first < 0 or 2 * first >= self.length:
            return None
        narrow, wide = self._gap(first)
        half_a_tick = self.count % 2 and self.length % 2 and wide == self.free - 1  # the gap beside the middle line
        if narrow < 1 and not half_a_tick:
            return None
        onward: dict[int, _Half] = {}
        for extra in self._wide_before_the_middle(wide):
            at = first + (self.free - 1) * narrow + extra
            last = self._last(at)
            if last is not None:
                onward[extra] = last
        for line in range(self.free - 1, 0, -1):
            before: dict[int, _Half] = {}
            for extra in range(min(wide, line - 1) + 1):
                at = first + (line - 1) * narrow + extra
                ways = [way for more in (0, 1) if (way := self._step(line, at, onward.get(extra + more))) is not None]
                if ways:
                    before[extra] = min(ways)
            onward = before
        return onward.get(0)

    def _gap(self, first: int) -> tuple[int, int]:
        """The narrow gap, and how many gaps are a tick wider, of those between the first line and the middle.

        With a line in the middle of an odd length the last of these gaps is a narrow one and half a tick.
        """
        span = self.length - 2 * first
        if self.count % 2:
            return divmod(span // 2, self.free)
        narrow, wide = divmod(span, self.count - 1)
        return narrow, wide

    def _wide_before_the_middle(self, wide: int) -> tuple[int, ...]:
        """How many of the wide gaps lie before the last free line; the middle gap takes what is left."""
        if self.count % 2:
            takes = (0,) if self.length % 2 else (0, 1)
            return tuple(wide - one for one in takes if 0 <= wide - one <= self.free - 1)
        return (wide // 2,)  # of an odd number the middle gap takes one

    def _last(self, at: int) -> _Half | None:
        """From the last free line to the middle."""
        if self.count % 2 and self.free in self.gaps:
            speaker = self._between(2 * at, self.length)
            return None if speaker is None else _Half(self._mark(at) + speaker[0], (at,), (speaker[1],))
        return _Half(self._mark(at), (at,), ())

    def _step(self, line: int, at: int, after: _Half | None) -> _Half | None:
        if after is None:
            return None
        if line not in self.gaps:
            return _Half(self._mark(at) + after.cost, (at, *after.lines), after.speakers)
        speaker = self._between(2 * at, 2 * after.lines[0])
        if speaker is None:
            return None
        cost = self._mark(at) + after.cost + speaker[0]
        return _Half(cost, (at, *after.lines), (speaker[1], *after.speakers))

    def _between(self, low: int, high: int) -> tuple[int, int] | None:
        """The tick within half a tick of the middle of a gap, given in half ticks, and how hard it is to read."""
        middle = low + high  # in quarter ticks
        near = range(-(-(middle - 2) // 4), (middle + 2) // 4 + 1)
        return min(((self._mark(at), at) for at in near if low < 2 * at < high), default=None)

    def _mark(self, at: int) -> int:
        return mark_cost(self.unit, at)

    def mirrored(self, half: _Half) -> Even:
        """All of it, from the half before the middle."""
        end = 2 * self.length
        return Even(
            tuple(_both(half.lines, self.length, end, middle=self.count % 2 == 1)),
            tuple(_both(half.speakers, self.length, end, middle=not self.count % 2 and self.free in self.gaps)),
        )


def _both(near: tuple[int, ...], center: int, end: int, *, middle: bool) -> Iterator[int]:
    yield from (2 * at for at in near)
    if middle:
        yield center
    yield from (end - 2 * at for at in reversed(near))
