"""All that a page of sound stands on, gathered once: the room as laid out now, what was entered, what isn't known.

Puts records and the layout together; no sum is made here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from django.utils.translation import gettext as _

from layout.engine.lengths import LengthError, Tape, meters
from layout.engine.marks import Kind, Side
from layout.engine.room import RoomLayout, lay_out
from layout.engine.sound.air import speed_m_per_s
from layout.engine.sound.levels import sensitivity_correction_db
from layout.engine.sound.nearest import inside
from layout.engine.sound.values import Loudspeaker
from layout.inputs import NotLaidOutYet, inputs_of
from layout.services import NoLightType, draft_of
from layout.sound.following import followed
from layout.sound.pictures.values import MarkAt, RoomAt, ScreenAt, SeatAt
from layout.sound.places import Size, Speaker, size_of, speakers_of
from layout.sound.services import Kept, kept_of
from projects.catalogue.models import SensitivityAt
from projects.jobs.circuits import SpeakerRun

VOLTS_SAID = 2.83  # at which a sensitivity may be given


@dataclass(frozen=True, slots=True)
class Ear:
    """A seat's ears, meters."""

    name: str
    x_m: float
    y_m: float
    z_m: float
    main: bool


@dataclass(frozen=True, slots=True)
class Heard:
    """A room's sound as it is now. layout: None where the room can't be laid out; refused says why."""

    room: object
    kept: Kept
    draft: object = None
    layout: RoomLayout | None = None
    refused: str = ""
    size: Size | None = None
    speakers: tuple[Speaker, ...] = ()
    of_roles: tuple[str, ...] = ()  # what is to be said of channels whose speakers were renumbered or moved

    @property
    def tape(self) -> Tape:
        return self.room.job.tape

    @property
    def c(self) -> float:
        """Speed of sound, m/s."""
        return speed_m_per_s(float(self.kept.setup.temperature_c))

    @property
    def ear_m(self) -> float:
        return meters(self.kept.setup.ear_height)

    @property
    def ears(self) -> tuple[Ear, ...]:
        """Of the seats that are in the room; the main one, or the first where that isn't."""
        seats = [seat for seat in self.kept.seats if self.holds(seat)]
        main = self.kept.main_seat
        main = main if main in seats else seats[0] if seats else None
        return tuple(
            Ear(str(seat.number), meters(seat.x), meters(seat.y), meters(self.kept.setup.ear_of(seat)), seat is main)
            for seat in seats
        )

    @property
    def subs(self):
        """Places for subwoofers on the floor that are in the room."""
        return tuple(one for one in self.kept.subs if self.holds(one))

    @property
    def outside(self) -> tuple[str, ...]:
        """Names of seats and places for subs that the room doesn't hold."""
        seats = [_("seat %s") % one.number for one in self.kept.seats if not self.holds(one)]
        return (*seats, *(sub_name(one) for one in self.kept.subs if not self.holds(one)))

    def holds(self, one) -> bool:
        """Whether a seat or a sub's place is within the finished room; so it is where no room is known."""
        if self.size is None:
            return True
        return bool(inside(self.size.walls.corners, np.array([[meters(one.x), meters(one.y)]]))[0])

    @property
    def speaker_type(self):
        return self.draft.speaker_type if self.draft is not None else None

    @property
    def ceiling_speakers(self) -> tuple[Speaker, ...]:
        return tuple(one for one in self.speakers if one.kind is Kind.SPEAKER)

    def channels(self) -> dict[str, tuple[float, float, float]]:
        """Where each channel sounds from; of two marks with one channel, the first. Needs the height."""
        found: dict[str, tuple[float, float, float]] = {}
        for one in self.speakers:
            if one.channel and self.size.high_m is not None:
                found.setdefault(one.channel, (one.x_m, one.y_m, self.size.high_m))
        return found

    def room_at(self, *, subs=False) -> RoomAt:
        """For a picture. subs: with the places entered for subwoofers on the floor."""
        marks = [MarkAt(one.id, one.kind, one.x_m, one.y_m, one.channel) for one in self.speakers]
        if subs:
            marks = [mark for mark in marks if mark.kind is Kind.SUBWOOFER]
            marks += [
                MarkAt(sub_name(sub), Kind.SUBWOOFER, meters(sub.x), meters(sub.y), floor=True)
                for sub in self.subs
            ]
        screen, walls = self.kept.screen, (Side.DOOR, Side.LEFT, Side.FAR, Side.RIGHT)
        return RoomAt(
            self.size.wide_m,
            self.size.deep_m,
            tuple(self.room.wall_name(side) for side in walls),
            () if self.size.rectangle else self.size.walls.corners,
            tuple(SeatAt(ear.name, ear.x_m, ear.y_m, ear.main) for ear in self.ears),
            tuple(marks),
            ScreenAt(Side(screen.wall), meters(screen.center), meters(screen.width)) if screen else None,
        )

    def screen_center(self) -> tuple[float, float] | None:
        screen = self.kept.screen
        if screen is None:
            return None
        along = meters(screen.center)
        return {
            Side.DOOR: (along, 0.0),
            Side.FAR: (along, self.size.deep_m),
            Side.LEFT: (0.0, along),
            Side.RIGHT: (self.size.wide_m, along),
        }[Side(screen.wall)]

    # What is driven

    def sensitivity_db(self) -> float | None:
        """Of the draft's speaker, at 1 W and 1 m; None where the catalog doesn't say, or not into what load."""
        kind = self.speaker_type
        if kind is None or kind.sensitivity_db is None:
            return None
        if kind.sensitivity_at == SensitivityAt.ONE_WATT:
            return float(kind.sensitivity_db)
        if kind.impedance_ohm is None:
            return None
        return float(kind.sensitivity_db) + sensitivity_correction_db(VOLTS_SAID, float(kind.impedance_ohm))

    def watts_each(self) -> float | None:
        """On a line with taps its tap; else what its sheet says it takes; None: neither is known."""
        wiring = getattr(self.room, "speaker_wiring", None)
        if wiring is not None and wiring.kind == SpeakerRun.CHAINED_LINE:
            return float(wiring.tap_watts) if wiring.tap_watts else None
        kind = self.speaker_type
        return float(kind.power_watts) if kind is not None and kind.power_watts else None

    def loudspeakers(self, watts: float, sensitivity_db: float) -> tuple[Loudspeaker, ...]:
        """The ceiling's speakers for the engine. Needs the height and the coverage angle."""
        angle = float(self.speaker_type.coverage_deg)
        return tuple(
            Loudspeaker(one.id, one.x_m, one.y_m, self.size.high_m, sensitivity_db, watts, angle)
            for one in self.ceiling_speakers
        )


def sub_name(sub) -> str:
    return _("W%s") % sub.number


def heard_of(room) -> Heard:
    """Never raises for what a room lacks."""
    kept = kept_of(room)
    try:
        draft = draft_of(room)
        layout = lay_out(inputs_of(room, draft))
    except (LengthError, NotLaidOutYet, NoLightType) as refused:
        return Heard(room, kept, refused=str(refused))
    roles, notes = followed(kept.roles, layout)
    kept = replace(kept, roles=roles)
    return Heard(room, kept, draft, layout, "", size_of(room, layout), speakers_of(layout, roles), notes)
