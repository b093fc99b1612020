"""Whether one axis has a layout that meets nothing at all, by whole numbers used as rows of bits: bit x is tick x.

Much faster than tables of costs, and most rooms need no more. "Nothing at all" is what can't be had more cheaply: every
line and speaker on a tick of least cost, no gap and no setback broken. No layout costs less than that, so one that
meets it is of least cost.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from layout.engine.placement.axis import Axis
from layout.engine.placement.costs import NEVER, up
from layout.engine.placement.problem import QUARTERS
from layout.engine.placement.windows import Level, Tables, Window


class Masks:
    """Opens windows on one axis, as Tables does, but only those that hold a layout of `target` cost."""

    def __init__(self, axis: Axis, tables: Tables) -> None:
        self.axis = axis
        self.tables = tables
        self.between = tables.between
        boxes = [axis.box(line) for line in range(1, axis.free + 1)]
        self.line_least = [int(axis.lines[box.start : box.stop].min(initial=NEVER)) for box in boxes]
        self.lines = self._line_masks(boxes)
        self.speaking = [axis.has_speaker(gap) for gap in range(1, axis.free + axis.count % 2)]
        self.place_least = self.between.place_least if self.between else 0
        self.places = _bits(self.between.places == self.place_least) if self.between else 0
        self.target = sum(self.line_least) + sum(self.speaking) * self.place_least + axis.fixed
        self.narrowest = max([1, *(up(need.distance, QUARTERS) for need in axis.webs)])
        self.widest = axis.spacing if axis.spacing is not None else axis.length
        self._stretched: dict[int, int] = {}
        self._stands: dict[int, int] = {}

    def _line_masks(self, boxes: list[range]) -> list[int]:
        """By line: the ticks of least cost; the first line's within its setback, the last one's a clear gap off."""
        axis, known = self.axis, dict[int, int]()
        for least in self.line_least:
            if least not in known:
                known[least] = _bits(axis.lines == least)
        masks = [
            known[least] & _ones(box.start, box.stop) for least, box in zip(self.line_least, boxes, strict=True)
        ]
        masks[0] &= _ones(max(0, axis.setback.min), min(axis.setback.max + 1, axis.ticks))
        times = 1 if axis.count % 2 else 2
        narrow = max([1, *(need.distance for need in axis.webs)])
        if axis.speakers is not None and not axis.count % 2 and axis.has_speaker(axis.free):
            narrow = max(narrow, 2 * axis.speakers.light)
        # middle gap = times * (middle - 4 x) within narrow..spacing
        last = (axis.middle - up(narrow, times)) // QUARTERS
        spacing = QUARTERS * axis.spacing if axis.spacing is not None else QUARTERS * axis.length
        first = up(times * axis.middle - spacing, times * QUARTERS)
        masks[-1] &= _ones(max(0, first), last + 1)
        return masks

    @property
    def first_lines(self) -> range:
        """The first to the last tick that the first line may stand on."""
        first = self.lines[0]
        return range((first & -first).bit_length() - 1, first.bit_length()) if first else range(0)

    def least(self, low: int, high: int) -> int | None:
        return None if self.levels(low, high) is None else self.target

    def open(self, low: int, high: int) -> Window | None:
        levels = self.levels(low, high)
        if levels is None:
            return None
        tables = []
        for line, mask in enumerate(levels):
            to_come = sum(self.line_least[line:]) + sum(self.speaking[line:]) * self.place_least
            first, marks = _from_bits(mask)
            tables.append(Level(first, np.where(marks, to_come, NEVER)))
        gaps = self._clear(self.tables.reach(low, high)[0])
        return Window(gaps, tables, self.target, tables[0].costs + self.axis.fixed, flat=True)

    def hopeless(self) -> bool:
        """Whether even gaps of any size, and speakers anywhere, leave no layout that meets nothing."""
        mask = self.lines[-1]
        for outer in reversed(self.lines[:-1]):
            mask = outer & _stretch(mask, self.widest + 1 - self.narrowest) >> self.narrowest
        return not mask

    def levels(self, low: int, high: int) -> list[int] | None:
        """For each line, the ticks from which nothing is met up to the middle, all gaps within low..high."""
        axis = self.axis
        gaps, first, last = self.tables.reach(low, high)
        gaps = self._clear(gaps)
        self.axis.work.spend(axis.free * (2000 + axis.ticks))
        mask = self.lines[-1] & _ones(first, last + 1)
        if axis.count % 2 and axis.has_speaker(axis.free):
            mask &= self._beside_middle
        levels = [mask]
        for line in range(axis.free - 1, 0, -1):
            if not mask or not gaps:
                return None
            mask = self.lines[line - 1] & self._outward(mask, gaps, self.speaking[line - 1])
            levels.append(mask)
        levels.reverse()
        return levels if mask else None

    @cached_property
    def _beside_middle(self) -> int:
        """The ticks of a line with a speaker's place of least cost between it and the middle one, crowding neither."""
        assert self.between is not None
        return _bits(self.between.lasts == self.place_least)

    def _clear(self, gaps: range) -> range:
        """The gaps that keep holes apart and keep the spacing limit."""
        return range(max(gaps.start, self.narrowest), min(gaps.stop, self.widest + 1))

    def _outward(self, mask: int, gaps: range, speaking: bool) -> int:
        """Where a line may stand when the next one stands in the mask."""
        if not speaking:
            return _stretch(mask, len(gaps)) >> gaps.start
        found = 0
        self.axis.work.spend(len(gaps) * (500 + self.axis.ticks // 16))
        for gap in gaps:
            found |= (mask >> gap) & self._before_place(gap)
        return found

    def _before_place(self, gap: int) -> int:
        """The ticks of a line with a speaker's place of least cost in the gap after it, crowding neither light."""
        if gap not in self._stands:
            assert self.between is not None
            low, high = self.between.clear_span(gap)
            size = high - low + 1
            if size not in self._stretched:
                self._stretched[size] = _stretch(self.places, size) if size > 0 else 0
            self._stands[gap] = self._stretched[size] >> low
        return self._stands[gap]


def _bits(marks: NDArray[np.bool_]) -> int:
    return int.from_bytes(np.packbits(marks, bitorder="little").tobytes(), "little")


def _from_bits(mask: int) -> tuple[int, NDArray[np.bool_]]:
    """The first tick of a mask, and from there on whether each tick is in it."""
    first = (mask & -mask).bit_length() - 1
    size = mask.bit_length() - first
    data = np.frombuffer((mask >> first).to_bytes((size + 7) // 8, "little"), np.uint8)
    return first, np.unpackbits(data, bitorder="little", count=size).astype(np.bool_)


def _ones(start: int, stop: int) -> int:
    return ((1 << (stop - start)) - 1) << start if stop > start else 0


def _stretch(mask: int, size: int) -> int:
    """The ticks with a tick of the mask on them or among the `size` - 1 that follow."""
    covered = 1
    while 2 * covered <= size:
        mask |= mask >> covered
        covered *= 2
    return mask | mask >> (size - covered) if covered < size else mask
