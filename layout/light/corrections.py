"""What a shop's own readings say of its predictions: the median of read over predicted, how many, and how far apart."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median, quantiles

from layout.light.models import AS_READ, LightUnit, MeterReading

FEWEST = 3  # readings; fewer say nothing of a shop. Common practice, no source
NEWEST = 500  # are looked at
LEAST_LX = 1.0  # a prediction under it divides nothing


@dataclass(frozen=True, slots=True)
class Correction:
    """low, high: the middle half of the ratios. rooms: in how many rooms they were read."""

    ratio: float
    low: float
    high: float
    least: float
    most: float
    readings: int
    rooms: int

    @property
    def offered(self) -> bool:
        return self.readings >= FEWEST and float(AS_READ[0]) <= self.ratio <= float(AS_READ[1])


def read_lux(reading) -> float:
    """What the lights gave: read with them on, less what was there without them."""
    lit = float(reading.value) - float(reading.dark or 0)
    return lit * LightUnit(reading.unit).in_lux


def ratio_of(reading) -> float | None:
    """Read over predicted; None where nothing, or next to nothing, was predicted."""
    if reading.predicted_lx is None or reading.predicted_lx < LEAST_LX:
        return None
    return read_lux(reading) / float(reading.predicted_lx)


def corrections_of(shop, *, room=None) -> Correction | None:
    """The shop's, or one room's; None with no reading beside a prediction. One query."""
    rows = MeterReading.objects.of(shop).filter(room__trashed_at=None).exclude(predicted_lx=None)
    rows = rows.filter(room=room) if room is not None else rows
    found = [(ratio, row.room_id) for row in rows.order_by("-pk")[:NEWEST] if (ratio := ratio_of(row)) is not None]
    if not found:
        return None
    ratios = [ratio for ratio, _room in found]
    low, _middle, high = quantiles(ratios, n=4, method="inclusive") if len(ratios) > 1 else (ratios[0],) * 3
    rooms = len({room_id for _ratio, room_id in found})
    return Correction(median(ratios), low, high, min(ratios), max(ratios), len(ratios), rooms)
