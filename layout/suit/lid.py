"""An isolated lid's holes: how many there are, and whether a backer box over each still fits. Moves nothing."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from layout.engine.lengths import Length
from layout.engine.marks import Kind, Mark
from layout.engine.overhead.backer_box import boxed
from layout.engine.overhead.bays import bay_at
from layout.engine.overhead.check import best_turns, in_the_way
from layout.engine.overhead.depth import too_deep
from layout.engine.overhead.footprint import frame
from layout.engine.overhead.stand import Direction, Standing
from layout.engine.room import RoomLayout
from projects.catalogue.models import KindChoice
from projects.catalogue.tables import ceiling_systems

ISOLATED = "isolated"  # the ceiling system whose lid is kept closed


@dataclass(frozen=True, slots=True)
class BoxSize:
    what: str
    holes: int
    long: Length
    wide: Length
    deep: Length | None  # None: the fixture's depth isn't entered


@dataclass(frozen=True, slots=True)
class BoxedMark:
    """wont: everything its box is too near or too deep for; empty where nothing known is in the way."""

    id: str
    what: str
    bay: str
    wont: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LidPage:
    holes: int
    boxes: tuple[BoxSize, ...]
    marks: tuple[BoxedMark, ...]
    unknown: tuple[str, ...]  # what nobody entered, so that it was not looked at
    cautions: tuple[str, ...]

    @property
    def wont(self):
        return sum(bool(mark.wont) for mark in self.marks)


def is_isolated(room) -> bool:
    return room.ceiling_system == ISOLATED


def lid_page(room, layout: RoomLayout, wall: Length, inside: Length) -> LidPage:
    """wall: the box's own, all its layers. inside: free round the housing. Raises LengthError."""
    marks, tape = layout.arrangement.marks, room.job.tape
    kinds = [kind for kind in Kind if any(mark.kind is kind for mark in marks)]
    boxes = {kind: boxed(layout.inputs.fittings[kind], wall, inside) for kind in kinds}
    wont: dict[str, list[str]] = {mark.id: [] for mark in marks}
    turns = best_turns(marks, boxes, layout.standing)
    for near in in_the_way(marks, boxes, layout.standing, turns):
        wont[near.mark].append(
            _("%(short)s too near %(what)s") % {"short": tape.show(near.short_by), "what": near.what}
        )
    for one, other in _meeting(marks, boxes, turns, layout.inputs.orientation):
        for mark, met in ((one, other), (other, one)):
            wont[mark].append(_("it meets the box over %s") % met)
    for deep in too_deep(marks, boxes, layout.standing, turns):
        under = _("under the %s") % deep.under if deep.under else _("under what is above")
        wont[deep.mark].append(
            _("%(short)s too deep %(under)s: %(free)s is free there, the box takes %(takes)s")
            % {
                "short": tape.show(deep.short_by),
                "under": under,
                "free": tape.show(deep.free),
                "takes": tape.show(deep.takes),
            }
        )
    return LidPage(
        holes=len(marks),
        boxes=tuple(
            BoxSize(
                layout.inputs.fittings[kind].name,
                sum(mark.kind is kind for mark in marks),
                boxes[kind].frame.length,
                boxes[kind].frame.width,
                boxes[kind].depth,
            )
            for kind in kinds
        ),
        marks=tuple(
            BoxedMark(one.id, KindChoice(one.kind.value).label, _bay(one, layout.standing), tuple(wont[one.id]))
            for one in marks
        ),
        unknown=tuple(_unknown(layout, kinds)),
        cautions=tuple(_(caution) for caution in ceiling_systems()[ISOLATED].cautions),
    )


def _meeting(marks, boxes, turns, orientation):
    """Pairs of marks whose boxes overlap as they are turned, by their IDs. Boxes that touch do not."""
    lie = []
    for mark in marks:
        box = frame(boxes[mark.kind].frame, turns[mark.id], orientation)
        lie.append((mark.id, mark.along + box.off_along, mark.across + box.off_across, box))
    lie.sort(key=lambda one: (one[1] - one[3].half_along).nm)
    for number, (mark, along, across, box) in enumerate(lie):
        for other, their_along, their_across, theirs in lie[number + 1 :]:
            if their_along - theirs.half_along >= along + box.half_along:
                break
            if abs(their_across - across) < box.half_across + theirs.half_across:
                yield mark, other


def _bay(mark: Mark, standing: Standing) -> str:
    places = ((Direction.ALONG, mark.along), (Direction.ACROSS, mark.across))
    return ", ".join(bay.name for direction, at in places if (bay := bay_at(standing, direction, at)))


def _unknown(layout, kinds):
    if not layout.standing.looked:
        yield _("The framing: nobody has looked yet. Enter the first joist under What stands overhead.")
    elif layout.standing.cavity is None:
        yield _("The depth above: enter the joists' depth, or how much is open above, under What stands overhead.")
    for kind in kinds:
        if layout.inputs.fittings[kind].depth is None:
            yield _("The depth of %s: enter it in the catalog, connector and bend included.") % (
                layout.inputs.fittings[kind].name
            )
