"""Seats, a screen and loudspeakers overhead: the angles each is heard at, and the move that brings it into range.

A listener looks at the screen's middle; azimuth is positive to the LEFT of that, elevation is over the ears. Layouts
stand in systems.py. A ceiling speaker over a seat can't come down to ear height: then the azimuth alone is mended, and
said so. Knows no marks as records, no Django.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from layout.engine.sound.nearest import MOST_SLICES, Slice, nearest
from layout.engine.sound.systems import LAYOUTS, Channel, System
from layout.engine.sound.values import ROOM_SPEED_M_PER_S, Floats, Point, SoundError, Spot, below, over_zero

__all__ = ["LAYOUTS", "Channel", "System"]
INSIDE_DEG = 1e-4  # less than this off is not off
MOST_LEEWAY_DEG = 30
USUAL_LEEWAY_DEG = 5  # either side of a range, for a shop that wants some; common practice, no source
MOST_SPEAKERS = 64


@dataclass(frozen=True, slots=True)
class Seat:
    name: str
    x: float
    y: float
    ear_m: float  # seated 1.1 to 1.2, from memory; 1.2 in ITU-R BS.775


@dataclass(frozen=True, slots=True)
class Placed:
    """A speaker that carries a channel. id: the mark's."""

    id: str
    channel: str
    x: float
    y: float
    z: float


@dataclass(frozen=True, slots=True)
class Heard:
    """One speaker from one seat. off_*: how many degrees past the range's nearer end, signed; 0 inside it."""

    seat: str
    azimuth_deg: float
    elevation_deg: float
    distance_m: float
    off_azimuth_deg: float
    off_elevation_deg: float

    @property
    def inside(self) -> bool:
        return self.off_azimuth_deg == 0 and self.off_elevation_deg == 0

    @property
    def off_deg(self) -> float:
        """How far off in all: both misses as the legs of a right angle."""
        return math.hypot(self.off_azimuth_deg, self.off_elevation_deg)


@dataclass(frozen=True, slots=True)
class Verdict:
    """One speaker from all seats. move: (dx, dy) on the ceiling, the smallest that brings every seat in range; None
    when no place does. main_move: the same for the first seat alone. reachable: a place on this ceiling meets the
    elevation too; when not, the moves mend the azimuth alone.
    """

    id: str
    channel: Channel
    angles: tuple[Heard, ...]
    move: Spot | None
    main_move: Spot | None
    reachable: bool

    @property
    def inside(self) -> bool:
        return all(one.inside for one in self.angles)


def position(azimuth_deg_left_positive: float, elevation_deg: float, r_m: float) -> Point:
    """x to the right, y to the front, z up, from the listener: x = -r sin az cos el, y = r cos az cos el, z = r sin el.

    (30, 40, 2 m) is (-0.766, 1.327, 1.286) in a broadcaster's open scene file (seen).
    """
    over_zero(r_m, "r_m", "The distance")
    if not -90 <= elevation_deg <= 90:
        raise SoundError(f"An elevation of {elevation_deg:g} degrees: give -90 to 90.", "elevation_deg")
    azimuth, elevation = math.radians(azimuth_deg_left_positive), math.radians(elevation_deg)
    flat = r_m * math.cos(elevation)
    return -flat * math.sin(azimuth), flat * math.cos(azimuth), r_m * math.sin(elevation)


def height_range(ceiling_m: float, ear_m: float, el_min_deg: float, el_max_deg: float) -> Spot:
    """How near and how far on the plan a flush speaker may be to be heard between two elevations: (h - ear) / tan."""
    over = below(ceiling_m, ear_m)
    if not 0 < el_min_deg <= 90:
        raise SoundError(f"A lowest elevation of {el_min_deg:g} degrees: give more than 0, to 90.", "el_min_deg")
    if not el_min_deg <= el_max_deg <= 90:
        raise SoundError(
            f"A highest elevation of {el_max_deg:g} degrees: give {el_min_deg:g} (the lowest) to 90.", "el_max_deg"
        )
    return _away(over, el_max_deg), _away(over, el_min_deg)


def _away(over_m: float, elevation_deg: float) -> float:
    if elevation_deg >= 90:
        return 0.0
    return over_m / math.tan(math.radians(elevation_deg)) if elevation_deg > 0 else math.inf


def facing_deg(seat: Seat, screen: Spot) -> float:
    """The plan bearing from a seat to the screen's middle."""
    if (seat.x, seat.y) == tuple(screen):
        raise SoundError(f"{seat.name} is at the screen itself: move the seat or the screen.", "seats")
    return math.degrees(math.atan2(screen[1] - seat.y, screen[0] - seat.x))


def angles(seat: Seat, speaker: Point, screen: Spot) -> tuple[float, float, float]:
    """Azimuth (left positive, over -180 to 180), elevation and distance of a speaker from a seat."""
    right, ahead, up = speaker[0] - seat.x, speaker[1] - seat.y, speaker[2] - seat.ear_m
    flat = math.hypot(right, ahead)
    distance = math.hypot(flat, up)
    if distance == 0:
        raise SoundError(f"A speaker is at the ears of {seat.name}: move it.", "speakers")
    azimuth = _turned(math.degrees(math.atan2(ahead, right)) - facing_deg(seat, screen)) if flat else 0.0
    return azimuth, math.degrees(math.atan2(up, flat)), distance


def heard(seat: Seat, speaker: Point, channel: Channel, screen: Spot, leeway_deg: float = 0.0) -> Heard:
    """How a speaker is heard against its channel's ranges."""
    azimuth, elevation, distance = angles(seat, speaker, screen)
    middle, half = _middle(channel.az_range, leeway_deg)
    low, high = channel.el_range[0] - leeway_deg, channel.el_range[1] + leeway_deg
    overhead = speaker[0] == seat.x and speaker[1] == seat.y and high >= 90
    sideways = 0.0 if overhead else _past(_turned(azimuth - middle), -half, half)
    return Heard(seat.name, azimuth, elevation, distance, sideways, _past(elevation, low, high))


def _past(value: float, low: float, high: float) -> float:
    past = max(value - high, 0.0) + min(value - low, 0.0)
    return past if abs(past) > INSIDE_DEG else 0.0


def _middle(span: Spot, leeway_deg: float) -> Spot:
    return (span[0] + span[1]) / 2, (span[1] - span[0]) / 2 + leeway_deg


def _turned(degrees: float) -> float:
    """Over -180 to 180."""
    return 180 - (180 - degrees) % 360


def judge(
    seats: Sequence[Seat],
    speakers: Sequence[Placed],
    screen: Spot,
    system: System,
    *,
    leeway_deg: float = 0.0,
    outline: Sequence[Spot] = (),
) -> tuple[Verdict, ...]:
    """Every speaker against its channel, from every seat; the first seat is the main one.

    outline: the ceiling the speaker may stand on, when moves are to stay on it. leeway_deg: let so much more pass at
    either end of each range. Raises SoundError: no seats, a channel the system hasn't, ears over a speaker.
    """
    _some_seats(seats, leeway_deg)
    if len(speakers) > MOST_SPEAKERS:
        raise SoundError(f"{len(speakers)} speakers: give at most {MOST_SPEAKERS}.", "speakers")
    return tuple(_verdict(seats, one, screen, _channel(system, one), leeway_deg, outline) for one in speakers)


def _channel(system: System, speaker: Placed) -> Channel:
    found = system.channel(speaker.channel)
    if found is None:
        names = ", ".join(one.name for one in system.channels)
        raise SoundError(f"{system.name} has no channel {speaker.channel} for {speaker.id}: give {names}.", "channel")
    return found


def _some_seats(seats: Sequence[Seat], leeway_deg: float) -> None:
    if not seats:
        raise SoundError("There is no seat to hear from: place one at least.", "seats")
    if len(seats) > MOST_SLICES:
        raise SoundError(f"{len(seats)} seats: give at most {MOST_SLICES}.", "seats")
    if not 0 <= leeway_deg <= MOST_LEEWAY_DEG:
        raise SoundError(f"{leeway_deg:g} degrees of leeway: give 0 to {MOST_LEEWAY_DEG:g}.", "leeway_deg")


def _verdict(
    seats: Sequence[Seat],
    speaker: Placed,
    screen: Spot,
    channel: Channel,
    leeway_deg: float,
    outline: Sequence[Spot],
) -> Verdict:
    at = (speaker.x, speaker.y, speaker.z)
    told = tuple(heard(seat, at, channel, screen, leeway_deg) for seat in seats)
    places = {
        both: tuple(
            move_to(some, at, channel, screen, leeway_deg=leeway_deg, outline=outline, elevation=both)
            for some in (seats, seats[:1])
        )
        for both in (True, False)
    }
    reachable = places[True][1] is not None
    every, main = (
        None if place is None else (place[0] - speaker.x, place[1] - speaker.y) for place in places[reachable]
    )
    return Verdict(speaker.id, channel, told, every, main, reachable)


def move_to(
    seats: Sequence[Seat],
    speaker: Point,
    channel: Channel,
    screen: Spot,
    *,
    leeway_deg: float = 0.0,
    outline: Sequence[Spot] = (),
    elevation: bool = True,
) -> Spot | None:
    """The nearest place at the speaker's height that every seat hears in its channel's range; None when there is none.

    elevation: whether that is asked for too, or the azimuth alone.
    """
    slices = []
    for seat in seats:
        middle, half = _middle(channel.az_range, leeway_deg)
        near, far = 0.0, math.inf
        if elevation:
            over = speaker[2] - seat.ear_m
            low, high = channel.el_range[0] - leeway_deg, channel.el_range[1] + leeway_deg
            if over <= 0 or high <= 0:
                return None
            near, far = _away(over, high), _away(over, low)
        slices.append(Slice((seat.x, seat.y), facing_deg(seat, screen) + middle, half, near, far))
    return nearest((speaker[0], speaker[1]), slices, outline)


@dataclass(frozen=True, slots=True)
class Alignment:
    """delay_ms and trim_db make a speaker arrive when and as loud as the farthest one; trim_db is 0 or below."""

    id: str
    distance_m: float
    delay_ms: float
    trim_db: float


def alignments(
    seat: Seat, speakers: Sequence[tuple[str, Point]], c: float = ROOM_SPEED_M_PER_S
) -> tuple[Alignment, ...]:
    """Delays, (r_max - r) / c, and level trims, 20 log10(r / r_max), for one seat. speakers: id and place of each."""
    over_zero(c, "c", "The speed of sound")
    away = [math.dist(place, (seat.x, seat.y, seat.ear_m)) for _id, place in speakers]
    if speakers and min(away) <= 0:
        raise SoundError(f"A speaker is at the ears of {seat.name}: move it.", "speakers")
    farthest = max(away, default=0.0)
    return tuple(
        Alignment(one[0], distance, 1000 * (farthest - distance) / c, 20 * math.log10(distance / farthest))
        for one, distance in zip(speakers, away, strict=True)
    )


def suggest(seat: Seat, speakers: Sequence[tuple[str, Point]], screen: Spot, system: System) -> Mapping[str, str]:
    """Which speaker might carry which channel: the angles between where they are and where they belong add up least.

    Channel to id; channels stay without when there are fewer speakers, speakers when there are fewer channels.
    """
    _some_seats([seat], 0.0)
    if len(speakers) > MOST_SPEAKERS:
        raise SoundError(f"{len(speakers)} speakers: give at most {MOST_SPEAKERS}.", "speakers")
    if not speakers:
        return {}
    wanted = [position(one.azimuth, one.elevation, 1.0) for one in system.channels]
    found = [position(*angles(seat, place, screen)[:2], 1.0) for _id, place in speakers]
    cosines = np.clip(np.array(wanted) @ np.array(found).T, -1, 1)
    pairs = _least_sum(np.degrees(np.arccos(cosines)))
    return {system.channels[row].name: speakers[column][0] for row, column in pairs}


def _least_sum(costs: Floats) -> list[tuple[int, int]]:
    """Rows to columns, as many as there can be, with the least sum: shortest augmenting paths with prices."""
    if costs.shape[0] > costs.shape[1]:
        return sorted((row, column) for column, row in _least_sum(costs.T))
    rows, columns = costs.shape
    row_price, column_price = np.zeros(rows + 1), np.zeros(columns + 1)
    row_of = np.zeros(columns + 1, dtype=int)  # 0: none; column 0 holds the row being placed
    for row in range(1, rows + 1):
        row_of[0], at = row, 0
        least, came_from = np.full(columns + 1, np.inf), np.zeros(columns + 1, dtype=int)
        settled = np.zeros(columns + 1, dtype=bool)
        while row_of[at]:
            settled[at] = True
            reduced = costs[row_of[at] - 1] - row_price[row_of[at]] - column_price[1:]
            better = ~settled[1:] & (reduced < least[1:])
            least[1:][better], came_from[1:][better] = reduced[better], at
            step = int(np.argmin(np.where(settled, np.inf, np.where(np.arange(columns + 1) == 0, np.inf, least))))
            delta = least[step]
            row_price[row_of[settled]] += delta
            column_price[settled] -= delta
            least[~settled] -= delta
            at = step
        while at:
            row_of[at] = row_of[came_from[at]]
            at = came_from[at]
    return sorted((int(row_of[column]) - 1, column - 1) for column in range(1, columns + 1) if row_of[column])
