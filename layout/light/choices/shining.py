"""From a layout of one room to its scene, under the room's own lights or another type of the catalog. No page."""

from __future__ import annotations

import copy
from dataclasses import dataclass, replace

from layout.engine.light.values import Scene
from layout.engine.room import RoomLayout, lay_out
from layout.inputs import inputs_of
from layout.light.emitters import lacks, watts_of
from layout.light.models import LightSetup
from layout.light.scene import scene_of
from projects.catalogue.models import FixtureType, KindChoice
from projects.catalogue.photometric import emitter_of


@dataclass(frozen=True, slots=True)
class Shining:
    """Called with a layout it gives its scene. other: this light in every zone, instead of the room's own."""

    room: object
    setup: LightSetup
    draft: object
    other: FixtureType | None = None

    def __call__(self, layout: RoomLayout) -> Scene:
        """Raises NoLight, LightError."""
        scene = scene_of(self.room, layout, self.setup, self.draft).scene
        emitter = emitter_of(self.other) if self.other is not None else None
        if emitter is None:
            return scene
        watts = watts_of(self.other)
        return replace(scene, lights=tuple(replace(one, emitter=emitter, watts=watts) for one in scene.lights))


def laid_out_with(room, draft, other: FixtureType | None) -> RoomLayout:
    """The draft's layout with another light cut for. Raises LengthError."""
    if other is not None:
        draft = copy.copy(draft)
        draft.light_type = other
    return lay_out(inputs_of(room, draft))


def lights_of_the_catalog(shop):
    return (
        FixtureType.objects.of(shop).filter(kind=KindChoice.LIGHT, retired=False)
        .select_related("photometric").defer("photometric__text").order_by("name")  # a text may have 2 MB
    )  # fmt: skip


def can_shine(one: FixtureType) -> bool:
    return not lacks(one)
