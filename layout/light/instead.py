"""What another number off the wall does to this room's light, in one sentence. It is computed, never assumed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from django.utils.translation import gettext as _

from layout.engine.lengths import Length, LengthError
from layout.engine.light.measures import Measures, measure
from layout.engine.light.solve import Solved, solve
from layout.engine.light.values import LightError, On
from layout.engine.marks import Kind, Side
from layout.engine.room import RoomLayout, lay_out
from layout.engine.rows.arrange import Mode
from layout.light.outlines import Walls
from layout.light.pictures.values import Told
from layout.light.queries import is_large
from layout.light.scene import Made, NoLight, scene_of
from layout.plans import sides_of

STEP_M = 0.25  # averages of a whole wall need no finer grid
SAME = 0.005  # a change under half a percent is none


@dataclass(frozen=True, slots=True)
class Asked:
    """One axis: the number asked for. along: off the end walls, else off the side walls."""

    along: bool
    off: Length


@dataclass(frozen=True, slots=True)
class Numbers:
    """A layout's light. near_lx: the two walls that the number is taken from; off: how far the lights are off them."""

    near_lx: float
    walls_lx: float
    plane: Measures
    off: Length


def instead_words(room, draft, layout: RoomLayout, setup, asked: Asked) -> str:
    """The sentence, or why there is none."""
    tape = room.job.tape
    axis = layout.along if asked.along else layout.across
    names = [room.wall_name(side) for side in sides_of(axis, layout.inputs.orientation)]
    try:
        other = lay_out(with_setback(layout, asked), layout)
        now, then = (
            _numbers(scene_of(room, one, setup, draft), one, asked.along) for one in (layout, other)
        )  # fmt: skip
    except NoLight as lacking:
        first = lacking.missing[0]
        return f"{first.words} {first.remedy}"
    except (LengthError, LightError) as refused:
        return str(refused)
    if now is None or then is None:
        return _("So many lights are too many to try another number while you wait: the page of light has them.")
    if now.off == then.off:
        return _("The lights stay where they are, %(off)s off the %(walls)s: what is held keeps them there.") % {
            "off": tape.show(now.off), "walls": _("%s and %s") % tuple(names),
        }  # fmt: skip
    return sentence(now, then, names, tape)


def with_setback(layout: RoomLayout, asked: Asked):
    """The same wishes with the first lights that far off the wall, whatever held them there before but pins."""
    if asked.along:
        return replace(layout.inputs, end_setback=asked.off, mode_along=Mode.WALL_HELD, typed_along=())
    return replace(layout.inputs, row_setback=asked.off, mode_across=Mode.WALL_HELD, typed_across=())


def sentence(now: Numbers, then: Numbers, names, tape) -> str:
    told = Told(tape)
    said = _(
        "%(then_off)s off the %(walls)s instead of %(now_off)s: those walls %(near)s, all walls %(all)s, "
        "the plane %(plane)s; least over average goes from %(even_now)s to %(even_then)s."
    ) % {
        "then_off": tape.show(then.off), "now_off": tape.show(now.off), "walls": _("%s and %s") % tuple(names),
        "near": _change(now.near_lx, then.near_lx, told), "all": _change(now.walls_lx, then.walls_lx, told),
        "plane": _change(now.plane.plane_avg_lx, then.plane.plane_avg_lx, told),
        "even_now": f"{now.plane.min_over_avg or 0:.2f}", "even_then": f"{then.plane.min_over_avg or 0:.2f}",
    }  # fmt: skip
    nearer, brighter = then.off < now.off, then.near_lx / now.near_lx - 1 if now.near_lx else 0.0
    if (nearer and brighter < -SAME) or (not nearer and brighter > SAME):
        return said + " " + _("Here it is the other way round: in this room, with these lights, nearer is darker.")
    return said


def _change(now: float, then: float, told: Told) -> str:
    share = then / now - 1 if now else 0.0
    if abs(share) < SAME:
        return _("stay at %(level)s") % {"level": told.both(now)}
    return _("from %(now)s to %(then)s (%(percent)s %%)") % {
        "now": told.both(now), "then": told.both(then), "percent": f"{100 * share:+.0f}".replace("-", "−"),
    }  # fmt: skip


def _numbers(made: Made, layout: RoomLayout, along: bool) -> Numbers | None:
    if is_large(made.scene):
        return None
    solved = solve(made.scene, step_m=STEP_M)
    found = measure(solved)
    axis = layout.along if along else layout.across
    sides = sides_of(axis, layout.inputs.orientation)
    return Numbers(near_lx(solved, made.walls, sides), found.walls_avg_lx, found, off_the_wall(layout, along))


def near_lx(solved: Solved, walls: Walls, sides: tuple[Side, ...]) -> float:
    """The average over all walls on these sides, by area."""
    light = area = 0.0
    for grid in solved.grids:
        if grid.on is On.WALL and walls.sides[grid.number] in sides:
            light += float(np.sum(solved.lux(grid.name) * grid.areas))
            area += float(grid.areas.sum())
    return light / area if area else 0.0


def off_the_wall(layout: RoomLayout, along: bool) -> Length:
    """The least distance of a light from the ceiling's edge it is counted from."""
    found = [mark.along if along else mark.across for mark in layout.arrangement.marks if mark.kind is Kind.LIGHT]
    return min(found)
