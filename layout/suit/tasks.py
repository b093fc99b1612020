"""A line of lights over a task: the proposed line on the room's own rows or columns, and what may be held of it.

The rule and its numbers are the engine's; here they are turned to this room's walls. Writes nothing.
"""

from dataclasses import dataclass, replace
from itertools import pairwise

from django.utils.translation import gettext as _

from layout.engine.lengths import ZERO, Distance, LengthError
from layout.engine.marks import Axis, Kind, Side
from layout.engine.pins import Line, Moved, Pin
from layout.engine.room import RoomLayout
from layout.engine.rows.arrange import Mode
from layout.engine.rows.lines import on_a_tick
from layout.engine.ways import tasks
from layout.engine.ways.task_rules import CLOSET, HALL, SCREEN, STAIRS, TaskRule
from layout.offers.ways import Offer
from layout.suit.held import lines_of, offers, result_of, with_pins
from projects.jobs.sizes import finished_height

WHOLE_ROOM = (HALL, STAIRS, CLOSET)  # rooms of their own: one line of lights, and no others


class NoHeight(LengthError):
    def __init__(self):
        super().__init__(_("No height was taped here. Enter the room's height under Readings, then look again."))


@dataclass(frozen=True, slots=True)
class Proposed:
    """line: rows or columns stand on it. at: where, from the ceiling's edge; None where nothing has to move.

    spots: along it. told: its numbers in words. notes: what to look out for.
    """

    rule: TaskRule
    line: Line
    at: Distance | None
    spots: tuple[Distance, ...] = ()
    told: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TaskPage:
    proposed: Proposed
    offers: tuple[Offer, ...]
    refused: tuple[str, ...]


def task_page(room, layout: RoomLayout, asked, *, drawn=True) -> TaskPage:
    """asked: a TaskForm's cleaned boxes. Raises LengthError."""
    proposed = BY_TASK[asked["task"]](room, layout, asked)
    if proposed.at is None:
        return TaskPage(proposed, (), ())
    found, refused = offers(layout, room, tuple(_wanted(room, layout, proposed)), drawn=drawn)
    return TaskPage(proposed, found, refused)


# What may be held


def _wanted(room, layout, proposed):
    tape, unit, line = room.job.tape, layout.inputs.unit, proposed.line
    size = result_of(layout, line).laid_out
    at = on_a_tick(proposed.at, unit)
    if not ZERO < at < size:
        raise LengthError(_("That line is not on this ceiling. Check the wall, and where it stands."))
    lines = lines_of(layout, line)
    if not lines:
        raise LengthError(_("There is no light to put on it yet. Change the room's numbers until marks appear."))
    number, was = min(lines, key=lambda one: abs(one[1] - at).nm)
    pins = with_pins(layout.inputs, (Pin(line, number, at),))
    told = {"line": _name(line, number), "at": tape.show(at), "was": tape.show(was)}
    kind = f"task_{proposed.rule.key}"
    if proposed.rule in WHOLE_ROOM and len(lines) > 1:
        yield _alone(proposed, at, tape, unit, kind)
    yield {
        "change": {"pins": pins},
        "kind": kind,
        "title": _("Hold the line"),
        "words": _("%(line)s held at %(at)s; it stands at %(was)s now.") % told,
    }
    spots = tuple(on_a_tick(spot, unit) for spot in proposed.spots)
    if not spots:
        return
    told["spots"] = ", ".join(tape.show(spot) for spot in spots)
    on_it = _lights_on(layout, line, was)
    if len(on_it) == len(spots):
        yield {
            "change": {"pins": pins, "moved": _moved(layout, on_it, line, spots, at)},
            "kind": f"{kind}_each",
            "title": _("Hold the line and each light on it"),
            "words": _("%(line)s held at %(at)s, its lights at %(spots)s. The other lights stay.") % told,
        }
    along = line is Line.ROW
    kept = tuple(pin for pin in pins if pin.line is line)
    yield {
        "change": {"pins": kept, **_locked(along, spots)},
        "kind": f"{kind}_all",
        "title": _("Every row like it") if along else _("Every column like it"),
        "words": (
            _("%(line)s held at %(at)s, and the lights of every row at %(spots)s.")
            if along
            else _("%(line)s held at %(at)s, and the lights of every column at %(spots)s.")
        )
        % told,
    }


def _alone(proposed, at, tape, unit, kind):
    """The line by itself, where nothing else belongs on the ceiling."""
    spots, row = tuple(on_a_tick(spot, unit) for spot in proposed.spots), proposed.line is Line.ROW
    change = {"rows": 1 if row else len(spots), "pins": (), "moved": ()}
    told = {"at": tape.show(at), "spots": ", ".join(tape.show(spot) for spot in spots)}
    return {
        "change": change | _locked(row, spots) | _locked(not row, (at,)),
        "kind": f"{kind}_alone",
        "title": _("This line alone"),
        "words": (
            _("One row at %(at)s, its lights at %(spots)s. The other rows go.")
            if row
            else _("One column at %(at)s, its lights at %(spots)s. The other columns go.")
        )
        % told,
    }


def _locked(along, spots):
    """The spots as a person's own numbers, along the rows or across them."""
    return {"mode_along": Mode.LOCKED, "typed_along": spots} if along else {
        "mode_across": Mode.LOCKED,
        "typed_across": spots,
    }


def _name(line, number):
    return (_("Row %s") if line is Line.ROW else _("Column %s")) % number


def _lights_on(layout, line, at):
    """The lights of one row or column with which of their row each is, in order along it."""
    found, seen = [], {}
    lights = [mark for mark in layout.arrangement.marks if mark.kind is Kind.LIGHT and mark.row]
    for mark in sorted(lights, key=lambda one: (one.row, one.along.nm)):
        seen[mark.row] = seen.get(mark.row, 0) + 1
        if (mark.across if line is Line.ROW else mark.along) == at:
            found.append((mark, seen[mark.row]))
    return sorted(found, key=lambda one: (one[0].along if line is Line.ROW else one[0].across).nm)


def _moved(layout, on_it, line, spots, at):
    places = {(mark.row, number) for mark, number in on_it}
    others = tuple(m for m in layout.inputs.moved if m.kind is not Kind.LIGHT or (m.row, m.number) not in places)
    here = tuple(
        Moved(Kind.LIGHT, mark.row, number, *((spot, at) if line is Line.ROW else (at, spot)))
        for (mark, number), spot in zip(on_it, spots, strict=True)
    )
    return (*others, *here)


# Turned to this room


def _line_along(layout, axis: Axis) -> Line:
    """A line that runs along an axis of the plan: a row where the rows run so."""
    return Line.ROW if axis is layout.inputs.orientation.rows_run else Line.COLUMN


def _beside(layout, side: Side) -> tuple[Line, Distance, int]:
    """Of a wall: which lines run along it, where its finished face is on their coordinate, which way the room is."""
    across = Axis.LEFT_RIGHT if side in (Side.LEFT, Side.RIGHT) else Axis.DOOR_FAR
    line = _line_along(layout, across.other)
    datums = result_of(layout, line).datums
    if layout.inputs.orientation.zero_side(across) is side:
        return line, -datums.start_gap, 1
    return line, datums.ceiling + datums.end_gap, -1


def _of_task(room, line, task: tasks.TaskLine) -> Proposed:
    tape = room.job.tape
    told = (
        _("The line at %(at)s from the ceiling's edge at the zero corner, %(count)s lights on it.")
        % {"at": tape.show(task.line), "count": len(task.spots)},
        _("Along it: %s.") % ", ".join(tape.show(spot) for spot in task.spots),
    )
    return Proposed(task.rule, line, task.line, task.spots, told, tuple(note for note in task.notes if note))


def _counter(room, layout, asked):
    line, face, inward = _beside(layout, Side(asked["wall"]))
    task = tasks.counter(asked["start"], asked["end"], face + asked["deep"] * inward, at=asked["at"])
    return _of_task(room, line, task)


def _vanity(room, layout, asked):
    line, face, inward = _beside(layout, Side(asked["wall"]))
    return _of_task(room, line, tasks.vanity(asked["basins"], face, face + asked["deep"] * inward))


def _desk(room, layout, asked):
    line, face, inward = _beside(layout, Side(asked["wall"]))
    return _of_task(room, line, tasks.desk(asked["start"], asked["end"], face, face + asked["deep"] * inward))


def _island(room, layout, asked):
    task = tasks.island(asked["start"], asked["end"], asked["center"])
    return _of_task(room, _line_along(layout, Axis(asked["runs"])), task)


def _closet(room, layout, asked):
    task = tasks.closet(asked["start"], asked["end"], asked["center"])
    return _of_task(room, _line_along(layout, Axis(asked["runs"])), task)


def _hall(room, layout, asked):
    length, width = layout.along.datums.ceiling, layout.across.datums.ceiling
    return _of_task(room, Line.ROW, tasks.hall(ZERO, length, width, doors=asked["doors"]))


def _stairs(room, layout, asked):
    landings = ((asked["low_start"], asked["low_end"]), (asked["high_start"], asked["high_end"]))
    return _of_task(room, Line.ROW, tasks.stairs(landings, layout.across.datums.ceiling))


def _off_wall(room, layout, side, off: tasks.Off, *, told=()):
    """The nearest line, brought in between the least and the most off the wall, so that it moves least."""
    tape = room.job.tape
    line, face, inward = _beside(layout, side)
    lines = lines_of(layout, line)
    if not lines:
        raise LengthError(_("There is no light to put on it yet. Change the room's numbers until marks appear."))
    now = min(((at - face) * inward for _number, at in lines), key=lambda one: one.nm)
    wanted = min(max(now, off.least), off.most)
    words = [*told]
    if off.least == off.most:
        words.append(_("%s off the finished wall.") % tape.show(off.least))
    else:
        words.append(
            _("%(least)s to %(most)s off the finished wall.")
            % {"least": tape.show(off.least), "most": tape.show(off.most)}
        )
    if off.gap is not None:
        apart = {"most": tape.show(off.gap), "now": tape.show(_widest(layout, line))}
        words.append(_("Lights on it no more than %(most)s apart; the widest gap is %(now)s now.") % apart)
    stands = {"now": tape.show(now), "wall": room.wall_name(side)}
    notes = (off.rule.caution,) if off.rule.caution else ()
    if wanted == now:
        words.append(_("The nearest line stands %(now)s off the %(wall)s: nothing has to move.") % stands)
        return Proposed(off.rule, line, None, told=tuple(words), notes=notes)
    words.append(_("The nearest line stands %(now)s off the %(wall)s.") % stands)
    return Proposed(off.rule, line, face + wanted * inward, told=tuple(words), notes=notes)


def _widest(layout, line):
    """The widest gap between the lights of one line."""
    places = [at for _number, at in lines_of(layout, Line.COLUMN if line is Line.ROW else Line.ROW)]
    return max((after - before for before, after in pairwise(places)), key=lambda gap: gap.nm, default=ZERO)


def _height(room):
    height = finished_height(room)
    if height is None:
        raise NoHeight
    return height


def _accent(room, layout, asked):
    height = _height(room)
    told = _("Finished ceiling at %s.") % room.job.tape.show(height)
    return _off_wall(room, layout, Side(asked["wall"]), tasks.accent(height, asked["target"]), told=(told,))


def _wall_wash(room, layout, asked):
    height = _height(room)
    told = _("Finished ceiling at %s.") % room.job.tape.show(height)
    return _off_wall(room, layout, Side(asked["wall"]), tasks.wall_wash(height), told=(told,))


def _graze(room, layout, asked):
    return _off_wall(room, layout, Side(asked["wall"]), tasks.graze())


def _screen(room, layout, asked):
    """No hole in front of the screen: its center half a hole farther off than what stays free."""
    side, free = Side(asked["wall"]), tasks.screen_free()
    line = _beside(layout, side)[0]
    least = free + layout.inputs.light.cutout / 2
    most = max(least, result_of(layout, line).datums.ceiling)
    told = _("%s in front of the screen stay free of lights.") % room.job.tape.show(free)
    found = _off_wall(room, layout, side, tasks.Off(SCREEN, least, most), told=(told,))
    if line is Line.ROW:
        across = _("The rows run across the line of view. To turn them, go to Names and zero corner.")
        found = replace(found, notes=(*found.notes, across))
    return found


BY_TASK = {
    "counter": _counter,
    "island": _island,
    "vanity": _vanity,
    "desk": _desk,
    "screen": _screen,
    "accent": _accent,
    "wall_wash": _wall_wash,
    "graze": _graze,
    "hall": _hall,
    "stairs": _stairs,
    "closet": _closet,
}
