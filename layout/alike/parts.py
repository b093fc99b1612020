"""What rooms alike have in common, part by part: what each part is as plain values, and how one room takes it.

Sizes and what stands overhead are never taken from another room: they are taped, and found, where they are. Circuits
are each room's own too. The values are compared, so they hold no ids of rows, only what the rows say.
"""

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import Length
from layout.kept import as_json, numbers_of
from layout.models import Draft
from layout.services import change_numbers
from projects.jobs import services
from projects.jobs.models import SpeakerWiring, SwitchZone, WirePoint

# Read with each room, so that a hundred rooms are compared in as many queries as one.
ROWS = (
    "layers", "counts", "wire_points", "switch_zones", "draft__typed_positions", "draft__pins", "draft__moved_marks",
    "draft__zones", "draft__switched_lights",
)  # fmt: skip
ONE = ("job__shop", "shop", "draft", "speaker_wiring")

CORNER = ("zero_x", "zero_y", "rows_run")
WALL_NAMES = ("door_name", "door_wall", "left_wall", "far_wall", "right_wall")
FINISH = ("ceiling_system", "gap_door", "gap_left", "gap_far", "gap_right")
POINT = ("what", "zone", "from_left", "from_door", "height", "beyond", "story")
ZONE = ("letter", "purpose", "control", "control_type_id", "box", "place", "hung")
WIRING = ("kind", "line_volts", "tap_watts", "amplifier_watts")


@dataclass(frozen=True, slots=True)
class Part:
    """value(room): plain values, equal where two rooms are alike in it. take(room, type_room): make it so.

    order: parts are taken in the order of PARTS; a turned corner moves what is typed, so it comes before the layout.
    """

    key: str
    title: Any
    value: Callable
    take: Callable

    def digest(self, room) -> str:
        return hashlib.sha256(json.dumps(self.value(room), default=str).encode()).hexdigest()[:32]


def _columns(record, names):
    return [_plain(getattr(record, name)) for name in names]


def _plain(value):
    if isinstance(value, Length):
        return int(value)
    return value if value is None or isinstance(value, (int, str)) else str(value)


def _take_columns(names):
    def take(room, other):
        changes = {name: getattr(other, name) for name in names}
        services.change_room(room, room.version, changes)

    return take


def _build_up(room):
    layers = [_columns(layer, ("surface", "position", "name", "thickness")) for layer in room.layers.all()]
    return [_columns(room, FINISH), sorted(layers)]


def _take_build_up(room, other):
    placed = [(layer.surface, layer.name, layer.thickness) for layer in other.layers.all()]
    services.change_build_up(room, room.version, placed, {name: getattr(other, name) for name in FINISH})


def _counts(room):
    return sorted([[count.fixture_type_id, count.zone, count.count or 0] for count in room.counts.all()])


def _take_counts(room, other):
    services.set_counts(room, [(count.fixture_type, count.zone, count.count) for count in other.counts.all()])


def _points(room):
    return sorted(_columns(point, POINT) for point in room.wire_points.all())


def _take_points(room, other):
    room.wire_points.all().delete()
    WirePoint.objects.bulk_create(
        WirePoint(room=room, **{name: getattr(point, name) for name in POINT}) for point in other.wire_points.all()
    )


def _switches(room):
    wiring = getattr(room, "speaker_wiring", None)
    return [sorted(_columns(zone, ZONE) for zone in room.switch_zones.all()), wiring and _columns(wiring, WIRING)]


def _take_switches(room, other):
    """Each zone stays on the circuit that its letter was on."""
    circuits = {zone.letter: zone.circuit_id for zone in room.switch_zones.all()}
    SwitchZone.objects.filter(room=room).delete()
    SwitchZone.objects.bulk_create(
        SwitchZone(room=room, circuit_id=circuits.get(zone.letter), **{name: getattr(zone, name) for name in ZONE})
        for zone in other.switch_zones.all()
    )
    SpeakerWiring.objects.filter(room=room).delete()
    if wiring := getattr(other, "speaker_wiring", None):
        SpeakerWiring.objects.create(room=room, **{name: getattr(wiring, name) for name in WIRING})


def _layout(room):
    draft = getattr(room, "draft", None)
    return None if draft is None else json.loads(as_json(numbers_of(draft)))


def _take_layout(room, other):
    """As the type has it; a room keeps what it has where nothing is laid out in the type."""
    wanted = getattr(other, "draft", None)
    if wanted is None:
        return
    draft = Draft.objects.of(room.shop_id).filter(room=room).first()
    if draft is None:
        draft = Draft(room=room, shop_id=room.shop_id, **numbers_of(wanted).changes)
        draft.save()
    change_numbers(draft, draft.version, numbers_of(wanted))


PARTS = (
    Part("corner", _("Zero corner and rows"), lambda room: _columns(room, CORNER), _take_columns(CORNER)),
    Part("walls", _("Names of walls"), lambda room: _columns(room, WALL_NAMES), _take_columns(WALL_NAMES)),
    Part("build_up", _("Build-up"), _build_up, _take_build_up),
    Part("counts", _("Fixtures"), _counts, _take_counts),
    Part("points", _("Switch, panel and rack"), _points, _take_points),
    Part("switches", _("Switches and speaker wiring"), _switches, _take_switches),
    Part("layout", _("Layout"), _layout, _take_layout),
)
