"""What another number off the wall does to this room's light, in one sentence. It is computed, never assumed."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from layout.engine.lengths import Length, LengthError
from layout.engine.light.compare import SAME, Bench, Numbers, numbers_of, other_way_round, with_setback
from layout.engine.light.values import LightError
from layout.engine.room import RoomLayout, lay_out
from layout.engine.rows.arrange import say
from layout.light.pictures.values import Told
from layout.light.queries import is_large
from layout.light.scene import Made, NoLight, scene_of
from layout.light.words import OTHER_WAY, changed_by
from layout.plans import sides_of


@dataclass(frozen=True, slots=True)
class Asked:
    """One axis: the number asked for. along: off the end walls, else off the side walls."""

    along: bool
    off: Length


def instead_words(room, draft, layout: RoomLayout, setup, asked: Asked) -> str:
    """The sentence, or why there is none."""
    tape = room.job.tape
    axis = layout.along if asked.along else layout.across
    names = [room.wall_name(side) for side in sides_of(axis, layout.inputs.orientation)]
    try:
        other = lay_out(with_setback(layout.inputs, along=asked.along, off=asked.off), layout)
        bench = Bench()
        now, then = (
            _numbers(bench, scene_of(room, one, setup, draft), one, asked.along) for one in (layout, other)
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
    return " ".join((sentence(now, then, names, tape), *_broken(layout, other, tape)))


def _broken(now: RoomLayout, then: RoomLayout, tape):
    """The first rule that the other number breaks and the layout as it is keeps."""
    kept = {finding.code for finding in now.arrangement.findings}
    new = [finding for finding in then.arrangement.findings if finding.code not in kept]
    if new:
        yield _("But it breaks a rule: %(rule)s") % {"rule": say(new[0], tape)}


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
    if other_way_round(now, then):
        return f"{said} {OTHER_WAY}"
    return said


def _change(now: float, then: float, told: Told) -> str:
    share = then / now - 1 if now else 0.0
    if abs(share) < SAME:
        return _("stay at %(level)s") % {"level": told.both(now)}
    return _("from %(now)s to %(then)s (%(percent)s %%)") % {
        "now": told.both(now), "then": told.both(then), "percent": changed_by(now, then),
    }  # fmt: skip


def _numbers(bench: Bench, made: Made, layout: RoomLayout, along: bool) -> Numbers | None:
    if is_large(made.scene):
        return None
    axis = layout.along if along else layout.across
    sides = sides_of(axis, layout.inputs.orientation)
    walls = [number for number, side in enumerate(made.walls.sides) if side in sides]
    return numbers_of(bench.solved(made.scene), layout, walls, along=along)
