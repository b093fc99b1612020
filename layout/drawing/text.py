"""How much room words take on a drawing, and how crowded words are spread. Knows no room and no SVG."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

MM_PER_POINT = 25.4 / 72
CAP_HEIGHT = 0.73  # of the type size; Inter's own table says 0.727

# Inter Bold's own advance widths from space to ~, in hundredths of the type size, rounded up.
_ADVANCES = (
    24, 34, 56, 65, 66, 102, 68, 34, 38, 38, 56, 68, 34, 47, 34, 39, 68, 44, 63, 65, 68, 63, 65, 59,
    66, 65, 34, 35, 68, 68, 68, 56, 102, 75, 67, 74, 73, 61, 59, 76, 75, 29, 59, 72, 57, 94, 77, 78,
    65, 78, 66, 66, 67, 74, 75, 104, 74, 74, 67, 38, 39, 38, 49, 48, 37, 59, 64, 59, 64, 60, 40, 64,
    63, 28, 28, 59, 28, 92, 63, 62, 64, 64, 41, 57, 37, 63, 60, 86, 59, 61, 58, 47, 38, 47, 68,
)


def _advance(letter: str) -> float:
    if " " <= letter <= "~":
        return _ADVANCES[ord(letter) - ord(" ")] / 100
    return 0.8 if letter.isalpha() and ord(letter) < 0x2000 else 1.05  # a full square for what isn't known


def width(text: str, size: float) -> float:
    """The width of `text` set bold at `size`, in the unit of `size`; kerning left out, never less than drawn."""
    return size * sum(map(_advance, text))


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the sheet, millimeters, y downward."""

    left: float
    top: float
    right: float
    bottom: float

    @classmethod
    def around(cls, x: float, y: float, wide: float, high: float) -> Box:
        return cls(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)

    @property
    def middle(self) -> tuple[float, float]:
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def touches(self, other: Box, gap: float = 0) -> bool:
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )

    def apart(self, other: Box) -> float:
        """The clear distance between two boxes; 0 where they touch."""
        across = max(0.0, other.left - self.right, self.left - other.right)
        down = max(0.0, other.top - self.bottom, self.top - other.bottom)
        return hypot(across, down)

    def clear_of(self, others: Iterable[Box], gap: float = 0) -> bool:
        return not any(self.touches(other, gap) for other in others)


def spread(targets: Sequence[float], sizes: Sequence[float], low: float, high: float) -> list[float]:
    """Centers for words of these sizes, each as near its target as the others let it, in order, none overlapping.

    Targets ascend. Least squares under "no overlap" is an isotonic regression, done by pooling neighbors
    (Ayer et al. 1955, pool adjacent violators; from memory). Words that need more than low..high run past high.
    """
    offsets = [0.0]
    for before, after in pairwise(sizes):
        offsets.append(offsets[-1] + (before + after) / 2)
    pools: list[tuple[float, int]] = []
    for target, offset in zip(targets, offsets, strict=True):
        mean, count = target - offset, 1
        while pools and pools[-1][0] > mean:
            before_mean, before_count = pools.pop()
            mean = (mean * count + before_mean * before_count) / (count + before_count)
            count += before_count
        pools.append((mean, count))
    if not pools:
        return []
    least = low + sizes[0] / 2
    most = max(least, high - sizes[-1] / 2 - offsets[-1])
    starts = [min(max(mean, least), most) for mean, count in pools for _ in range(count)]
    return [start + offset for start, offset in zip(starts, offsets, strict=True)]
