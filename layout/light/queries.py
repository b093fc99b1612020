"""A room's light as it stands: worked out while a page waits, or found where a large room's was kept."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock

from layout.engine.lengths import LengthError
from layout.engine.light.solve import Solved, solve
from layout.engine.light.values import LightError, Scene
from layout.engine.marks import Kind
from layout.engine.room import RoomLayout, lay_out
from layout.engine.shape import on_plan
from layout.inputs import NotLaidOutYet, inputs_of
from layout.light.kept import KeptSolved, unpacked
from layout.light.models import KeptLight, LightSetup
from layout.light.scene import Made, Missing, NoLight, scene_of
from layout.light.services import setup_of
from layout.services import NoLightType, draft_of
from projects.work.models import UNDER_WAY, Work

KIND = "light of a room"  # of long work
MOST_LIGHTS, MOST_M2 = 60, 1500.0  # worked out while a page waits, at most
_HELD = 12  # solved rooms a process remembers
_solved: OrderedDict[str, Solved] = OrderedDict()
_lock = Lock()


@dataclass(frozen=True, slots=True)
class RoomLight:
    """A room's light, or why there is none: missing (what it would take) or refused (why nothing is laid out).

    waits: too large to be worked out while a page waits, and not kept yet; work: what is working on it now.
    """

    room: object
    setup: LightSetup
    draft: object = None
    layout: RoomLayout | None = None
    made: Made | None = None
    solved: Solved | KeptSolved | None = None
    missing: tuple[Missing, ...] = ()
    refused: str = ""
    waits: bool = False
    work: Work | None = None

    @property
    def zones(self) -> list[tuple[str, int]]:
        """The letter of each zone that has a light, and the percent it is set to."""
        if self.layout is None:
            return []
        said = {zone.letter: zone.dim_percent for zone in self.setup.rows("zones")}
        letters = {mark.zone for mark in self.layout.arrangement.marks if mark.kind is Kind.LIGHT}
        return [(letter, said.get(letter, 100)) for letter in sorted(letters)]


def light_of(room, *, solve_it: bool = True) -> RoomLight:
    """Never raises for what a room lacks. room: as projects.jobs.queries.room_of fetched it.

    solve_it: no to know only what there would be to solve.
    """
    setup = setup_of(room)
    try:
        draft = draft_of(room)
        layout = lay_out(inputs_of(room, draft))
    except (LengthError, NotLaidOutYet, NoLightType) as refused:
        return RoomLight(room, setup, refused=str(refused))
    try:
        made = scene_of(room, layout, setup, draft)
    except NoLight as lacking:
        return RoomLight(room, setup, draft, layout, missing=lacking.missing)
    if not solve_it:
        return RoomLight(room, setup, draft, layout, made)
    if is_large(made.scene):
        return _large(room, setup, draft, made)
    try:
        return RoomLight(room, setup, draft, layout, made, solved_by(made))
    except LightError as refused:
        return RoomLight(room, setup, draft, layout, made, refused=str(refused))


def is_large(scene: Scene) -> bool:
    return len(scene.lights) > MOST_LIGHTS or on_plan.area(scene.room.corners) > MOST_M2


def solved_by(made: Made) -> Solved:
    """The scene's light, worked out once in a process. Raises LightError."""
    with _lock:
        found = _solved.get(made.digest)
        if found is not None:
            _solved.move_to_end(made.digest)
            return found
    found = solve(made.scene)
    with _lock:
        _solved[made.digest] = found
        while len(_solved) > _HELD:
            _solved.popitem(last=False)
    return found


def _large(room, setup, draft, made: Made) -> RoomLight:
    kept = KeptLight.objects.of(room.shop_id).filter(room=room, digest=made.digest).first()
    if kept is not None:
        return RoomLight(room, setup, draft, made.layout, made, unpacked(bytes(kept.grids), made.scene))
    return RoomLight(room, setup, draft, made.layout, made, waits=True, work=work_of_room(room))


def work_of_room(room) -> Work | None:
    """What is working the room's light out now, or will."""
    started = Work.objects.of(room.shop_id).filter(kind=KIND, state__in=UNDER_WAY).order_by("-pk")[:20]
    return next((work for work in started if work.asked_for.get("room_id") == room.pk), None)
