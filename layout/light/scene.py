"""From a room's records to the scene that light is computed in, or to what that would take. Computes no light.

Walls are where they are finished: light fills the room past a floating ceiling's edge. Lights hang at the finished
ceiling, those of a tray or a soffit at its own height.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from django.db.models import prefetch_related_objects
from django.urls import reverse
from django.utils.translation import gettext as _

from layout.engine.ceiling import Region
from layout.engine.finished_walls import Walls, walls_of
from layout.engine.lengths import meters
from layout.engine.light.refusals import TRAY_M, refuse_task
from layout.engine.light.values import Dims, Known, Light, LightError, Room, Scene, Task
from layout.engine.marks import Axis, Kind, Mark, Side
from layout.engine.room import RoomLayout
from layout.engine.shape.on_plan import holds
from layout.engine.switching import places
from layout.light.emitters import known_by, lacks, tilted, watts_of
from layout.light.models import LOSSES, LightAim, LightSetup, LightTask, TaskKind
from projects.catalogue.models import FixtureType
from projects.catalogue.photometric import emitter_of
from projects.jobs.sizes import finished_height, height_of

VERSION = 1  # grows when a solver or a reader makes other light of the same scene or file: what was kept is then old


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing that isn't known: what it is, and what it would take, with the page where it is entered."""

    words: str
    remedy: str
    route: str = ""
    args: tuple[int, ...] = ()

    @property
    def link(self) -> str:
        return reverse(self.route, args=self.args) if self.route else ""


class NoLight(Exception):
    """The room's light can't be computed as it stands. missing: what it would take, one by one."""

    def __init__(self, missing: Sequence[Missing]) -> None:
        self.missing = tuple(missing)
        super().__init__(" ".join(f"{one.words} {one.remedy}" for one in self.missing))


@dataclass(frozen=True, slots=True)
class Face:
    """Where somebody's face is: meters, and the bearing it looks to; None: all round."""

    name: str
    point: tuple[float, float, float]
    facing_deg: float | None


@dataclass(frozen=True, slots=True)
class Made:
    """A scene, and what else there is to say of it. digest: the same scene is the same text.

    types: each zone's light type. lobes: names of types with no file. gone: aims of lights that aren't there now.
    """

    scene: Scene
    digest: str
    walls: Walls
    layout: RoomLayout
    faces: tuple[Face, ...] = ()
    types: Mapping[str, FixtureType] = field(default_factory=dict)
    lobes: tuple[str, ...] = ()
    watts_unknown: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    gone: tuple[LightAim, ...] = ()
    unplaced: tuple[str, ...] = ()  # tasks that stand on no wall or outside the room

    @property
    def dims(self) -> Dims:
        """Each zone's own level."""
        return Dims(zones={light.zone: light.dim for light in self.scene.lights})


def factor_of(setup: LightSetup) -> float:
    """All light losses multiplied, the shop's own correction included where it was chosen."""
    told = 1.0
    for name in LOSSES:
        told *= float(getattr(setup, name))
    return told if setup.as_read is None else told * float(setup.as_read)


def scene_of(room, layout: RoomLayout, setup: LightSetup, draft) -> Made:
    """room: as queries.room_of fetched it. Raises NoLight."""
    marks = places(layout.arrangement.marks)
    types = types_by_zone(room, setup, draft, [mark.zone for mark in marks.values()])
    _refuse(room, marks, types)
    walls = walls_of(layout)
    height = meters(finished_height(room))
    aims = {(aim.row, aim.number): aim for aim in setup.rows("aims")}
    dims = {zone.letter: zone.dim_percent / 100 for zone in setup.rows("zones")}
    shape = room_shape(room, setup, layout, walls, height)
    factor = factor_of(setup)
    try:
        shining = {letter: emitter_of(one) for letter, one in types.items()}
    except LightError as refused:
        raise NoLight([Missing(str(refused), str(_("Correct it in the catalog.")), "fixture_types")]) from refused
    lights = []
    for place, mark in marks.items():
        x, y = on_plan(layout, walls, mark)
        aim = aims.get(place)
        tilt = float(aim.tilt_deg) if aim else 0.0
        lights.append(
            Light(
                id=mark.id, x=x, y=y, z=_height_at(layout, shape, walls, x, y), emitter=shining[mark.zone],
                zone=mark.zone, watts=watts_of(types[mark.zone]),
                factor=factor * tilted(types[mark.zone], tilt), dim=dims.get(mark.zone, 1.0),
                tilt_deg=tilt, toward_deg=float(aim.toward_deg) if aim else 0.0,
                spin_deg=float(aim.spin_deg) if aim else 0.0,
            )
        )  # fmt: skip
    tasks, faces, unplaced = _tasks(setup, walls, shape)
    scene = Scene(shape, tuple(lights), meters(setup.plane), tasks)
    own = {letter: types[letter] for letter in sorted(types)}
    return Made(
        scene=scene,
        digest=digest_of(scene, {letter: known_by(one) for letter, one in own.items()}, faces),
        walls=walls,
        layout=layout,
        faces=faces,
        types=own,
        lobes=_names(own[letter] for letter in own if shining[letter].known is Known.LOBE),
        watts_unknown=_names(one for one in own.values() if watts_of(one) is None),
        notes=tuple(_notes(layout)),
        gone=tuple(aim for place, aim in aims.items() if place not in marks),
        unplaced=unplaced,
    )


def _names(types) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.name for one in types))


def types_by_zone(room, setup: LightSetup, draft, letters) -> dict[str, FixtureType]:
    """A zone's own type where one is said, else as the room's fixtures are counted, else the draft's."""
    said = {zone.letter: zone.light_type for zone in setup.rows("zones") if zone.light_type is not None}
    counted = {
        count.zone: count.fixture_type for count in room.counts.all() if count.zone and count.kind is Kind.LIGHT
    }
    found = {letter: said.get(letter) or counted.get(letter) or draft.light_type for letter in set(letters)}
    prefetch_related_objects(list({id(one): one for one in found.values()}.values()), "photometric")
    return found


def _refuse(room, marks, types) -> None:
    missing = []
    if not marks:
        missing.append(
            Missing(str(_("No light is laid out here.")), str(_("Change the room's numbers until lights appear.")),
                    "room", (room.pk,))
        )  # fmt: skip
    if height_of(room) is None:
        missing.append(
            Missing(str(_("The height was not taped.")), str(_("Tape floor to framing, or floor to ceiling.")),
                    "measurements", (room.pk,))
        )  # fmt: skip
    elif finished_height(room) is None:
        missing.append(
            Missing(str(_("The build-up leaves no height.")), str(_("Check the layers of floor and ceiling.")),
                    "build_up", (room.pk,))
        )  # fmt: skip
    for one in dict.fromkeys(types.values()):
        missing += _missing_of(one)
    if missing:
        raise NoLight(missing)


def _missing_of(one: FixtureType):
    words = {
        "lumens": _("%s has no lumens and no photometric file."),
        "beam_deg": _("%s has no beam angle and no photometric file."),
    }
    remedy = _("Put its file in the catalog, or enter lumens and beam angle from its sheet.")
    for name in lacks(one):
        yield Missing(str(words[name] % one.name), str(remedy), "fixture_type", (one.pk,))


# The room


def room_shape(room, setup: LightSetup, layout: RoomLayout, walls: Walls, height_m: float) -> Room:
    names: list[str] = []
    for side in walls.sides:
        name = room.wall_name(side)
        again = walls.sides[: len(names)].count(side)
        names.append(f"{name} {again + 1}" if again else name)
    own = any(getattr(setup, f"{side.value}_percent") is not None for side in Side)
    return Room(
        corners=walls.corners,
        height_m=height_m + _rise_to_corner(layout, walls),
        floor=setup.floor_percent / 100,
        ceiling=setup.ceiling_percent / 100,
        wall=setup.wall_percent / 100,
        walls=tuple(setup.percent_of(side.value) / 100 for side in walls.sides) if own else (),
        wall_names=tuple(names),
        slope=_slope(layout),
    )


def _slope(layout: RoomLayout) -> tuple[float, float]:
    slope = layout.inputs.slope
    if slope is None:
        return (0.0, 0.0)
    by = float(slope.rise.nm / slope.run.nm)
    return (by, 0.0) if slope.along is Axis.LEFT_RIGHT else (0.0, by)


def _rise_to_corner(layout: RoomLayout, walls: Walls) -> float:
    """The height that was taped is the lowest one, at the left wall or the door wall; corner 0 may stand elsewhere."""
    (x, y), (by_x, by_y) = walls.corners[0], _slope(layout)
    return x * by_x + y * by_y


def _height_at(layout: RoomLayout, room: Room, walls: Walls, x: float, y: float) -> float:
    x0, y0 = room.corners[0]
    z = room.height_m + (x - x0) * room.slope[0] + (y - y0) * room.slope[1]
    region = region_at(layout, walls, x, y)
    return z if region is None else z + min(meters(region.rise), TRAY_M)


def region_at(layout: RoomLayout, walls: Walls, x: float, y: float) -> Region | None:
    """The tray or soffit at a place; the last one entered where two are."""
    found = None
    for region in layout.inputs.regions:
        corners = tuple((meters(c.x) + walls.from_left, meters(c.y) + walls.from_door) for c in region.corners)
        if holds(corners, x, y):
            found = region
    return found


def on_plan(layout: RoomLayout, walls: Walls, mark: Mark) -> tuple[float, float]:
    """A mark's place from the finished left and door walls, meters."""
    sizes = layout.wide.datums.ceiling, layout.deep.datums.ceiling
    x, y = layout.inputs.orientation.plan_xy(mark.along, mark.across, *sizes)
    return meters(x) + walls.from_left, meters(y) + walls.from_door


def _notes(layout: RoomLayout):
    if any(region.rise.nm > 0 for region in layout.inputs.regions):
        yield str(_("Lights of a tray shine from its own height; the tray's sides hold nothing back in these numbers."))
    if any(region.rise.nm < 0 for region in layout.inputs.regions):
        yield str(_("Lights of a soffit hang at its own height; its sides throw no shadow in these numbers."))
    if layout.inputs.slope is not None:
        yield str(_("The taped height is taken as the low side's: the left wall's, or the door wall's."))


# What light is asked for


def _tasks(setup: LightSetup, walls: Walls, room: Room):
    planes: list[Task] = []
    faces: list[Face] = []
    unplaced: list[str] = []
    for task in setup.rows("tasks"):
        if task.kind == TaskKind.FACE:
            at = (meters(task.from_left), meters(task.from_door), meters(task.height))
            facing = None if task.facing_deg is None else float(task.facing_deg)
            faces.append(Face(task.name, at, facing))
            fits = holds(walls.corners, at[0], at[1])
        else:
            plane = _flat(task) if task.kind == TaskKind.FLAT else _board(task, walls)
            fits = plane is not None and _fits(plane, room)
            if plane is not None and fits:
                planes.append(plane)
        if not fits:
            unplaced.append(task.name)
    kept = tuple(face for face in faces if face.name not in unplaced)
    return tuple(planes), kept, tuple(unplaced)


def _flat(task: LightTask) -> Task:
    corner = (meters(task.from_left), meters(task.from_door), meters(task.height))
    return Task(task.name, corner, (meters(task.wide), 0.0, 0.0), (0.0, meters(task.deep), 0.0))


def _board(task: LightTask, walls: Walls) -> Task | None:
    """Along its wall as one faces it, left to right: walls run the other way."""
    number = walls.on(Side(task.wall))
    if number is None:
        return None
    (bx, by), (ax, ay) = walls.corners[number], walls.corners[(number + 1) % len(walls.corners)]
    length = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
    ux, uy = (bx - ax) / length, (by - ay) / length
    start, wide = meters(task.along), meters(task.wide)
    if start + wide > length + 1e-9:
        return None
    corner = (ax + ux * start, ay + uy * start, meters(task.height))
    return Task(task.name, corner, (ux * wide, uy * wide, 0.0), (0.0, 0.0, meters(task.deep)))


def _fits(task: Task, room: Room) -> bool:
    try:
        refuse_task(room, task, [task.name])
    except LightError:
        return False
    return True


def digest_of(scene: Scene, shining: Mapping[str, str], faces: Sequence[Face]) -> str:
    """SHA-256 over all that the scene's light depends on; emitters by what they are known by."""
    bare = tuple(replace(light, emitter=None) for light in scene.lights)  # type: ignore[arg-type]
    told = (VERSION, scene.room, bare, scene.plane_m, scene.tasks, tuple(faces), sorted(shining.items()))
    return hashlib.sha256(repr(told).encode()).hexdigest()
