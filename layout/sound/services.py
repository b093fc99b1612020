"""What is entered about a room's sound, read and saved whole. Knows no page and no sum; looking stores nothing."""

from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from layout.sound.models import (
    Screen,
    Seat,
    SoundSetup,
    SpeakerRole,
    SubPlace,
    SurfaceMaterial,
)
from projects.jobs.models import Room
from projects.platform.tenancy import save_from

COLUMNS = ("use", "system", "leeway_deg", "ear_height", "temperature_c", "band_hz", "target_db", "low_decay_s")
ROWS = {
    "seats": (Seat, ("x", "y", "ear_height", "main")),
    "roles": (SpeakerRole, ("mark", "channel", "x", "y")),
    "subs": (SubPlace, ("x", "y", "height", "placed")),
    "materials": (SurfaceMaterial, ("surface", "material", "percent")),
}
SCREEN = ("wall", "center", "width", "height")
NUMBERED = ("seats", "subs")


@dataclass(frozen=True, slots=True)
class Entered:
    """All that is entered of a room's sound, as columns by name. screen: None where there is none."""

    columns: dict
    seats: tuple[dict, ...] = ()
    screen: dict | None = None
    roles: tuple[dict, ...] = ()
    subs: tuple[dict, ...] = ()
    materials: tuple[dict, ...] = ()


def one_main(seats):
    """Rows of seats, the first that is marked so as the main one."""
    found = False
    for seat in seats:
        yield seat | {"main": bool(seat["main"]) and not found}
        found = found or bool(seat["main"])


@dataclass(frozen=True, slots=True)
class Kept:
    """What is stored, as records."""

    setup: SoundSetup
    seats: tuple[Seat, ...] = ()
    screen: Screen | None = None
    roles: tuple[SpeakerRole, ...] = ()
    subs: tuple[SubPlace, ...] = ()
    materials: tuple[SurfaceMaterial, ...] = ()

    @property
    def main_seat(self):
        return next((seat for seat in self.seats if seat.main), self.seats[0] if self.seats else None)


def kept_of(room) -> Kept:
    """What is stored of the room's sound, in six queries; nothing yet: a setup that isn't saved."""
    setup = SoundSetup.objects.of(room.shop_id).filter(room=room).first() or SoundSetup(room=room, shop=room.shop)
    rows = {name: tuple(model.objects.filter(room=room)) for name, (model, _columns) in ROWS.items()}
    return Kept(setup, screen=Screen.objects.filter(room=room).first(), **rows)


def entered_of(kept: Kept) -> Entered:
    """The stored rows as they would be entered again."""
    rows = {
        name: tuple({column: getattr(row, column) for column in columns} for row in getattr(kept, name))
        for name, (_model, columns) in ROWS.items()
    }
    screen = {name: getattr(kept.screen, name) for name in SCREEN} if kept.screen else None
    return Entered({name: getattr(kept.setup, name) for name in COLUMNS}, screen=screen, **rows)


@transaction.atomic
def change_sound(room, seen_version, entry: Entered) -> SoundSetup:
    """Save all of it at once: what is left out is not there. Raises StaleVersion."""
    # The room's row is the lock: of two people who keep a first setup, the second finds the first one's.
    Room.objects.of(room.shop_id).select_for_update().get(pk=room.pk)
    setup = SoundSetup.objects.of(room.shop_id).filter(room=room).first()
    if setup is None:
        setup = SoundSetup(room=room, shop_id=room.shop_id)
        setup.save()
    stored = save_from(setup, seen_version, entry.columns, at=timezone.now())
    _write_rows(room, entry)
    return stored


def _write_rows(room, entry):
    for name, (model, _columns) in ROWS.items():
        model.objects.filter(room=room).delete()
        given = getattr(entry, name)
        numbered = [({"number": n} if name in NUMBERED else {}) | row for n, row in enumerate(given, start=1)]
        model.objects.bulk_create(model(room=room, **row) for row in numbered)
    Screen.objects.filter(room=room).delete()
    if entry.screen is not None:
        Screen.objects.create(room=room, **entry.screen)
