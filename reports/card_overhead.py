"""What a card says of framing, frames and what is in the way: to be proved, turned, or left uncut. No number is found.

Everything is read off a laid-out room. Nothing here ever says that a design complies.
"""

from django.utils.translation import gettext as _

from layout.engine.findings import Code
from layout.engine.marks import Datum
from layout.engine.overhead.footprint import turned
from layout.engine.overhead.stand import Direction
from layout.engine.rows.arrange import say
from layout.plans import insets
from reports.documents.sheet import CheckLine, Note, in_ranges

# With one of these a hole would be cut where it can't stay; the rest is a matter of looks or of the shop's own limits.
NOT_CUT = {Code.ON_A_JOIST, Code.TOO_DEEP, Code.OUTSIDE_OUTLINE, Code.OFF_TILE, Code.HOLES_TOO_CLOSE}


def stops_a_cut(finding):
    return finding.fixed or finding.code in NOT_CUT


def wont_fit(layout, tape):
    """Each place that won't fit, in words."""
    return tuple(say(finding, tape) for finding in layout.arrangement.findings if stops_a_cut(finding))


def not_cut(layout):
    """The marks that may not be cut, as ranges: all of them, where a finding names only the worst."""
    ids = [mark.id for mark in layout.arrangement.marks]
    stopped = {one.mark for one in layout.conflicts if one.fixed} | {one.mark for one in layout.too_deep}
    for finding in layout.arrangement.findings:
        if stops_a_cut(finding):
            stopped |= {part.strip() for part in finding.subject.split(",")}
    return in_ranges([one for one in ids if one in stopped])


def framing_lines(layout, room, datum, tape):
    """The joists as lines to be proved with a tape before anything is marked. They run along the wall they are from."""
    overhead = layout.inputs.overhead
    for run in overhead.joists:
        alone = sum(other.runs is run.runs for other in overhead.joists) == 1
        first = _first(layout, run, datum) if alone else None
        what = _("joists %(spacing)s on center, %(width)s wide: ") % {
            "spacing": tape.show(run.spacing),
            "width": tape.show(run.width),
        }
        if first is None:
            wall = _face(run.datum, room.wall_name(run.first_from))
            yield CheckLine(what + _("one, center from the %s") % wall, tape.show(run.first))
        else:
            name, at, side = first
            wall = _face(datum, room.wall_name(side))
            yield CheckLine(
                what + _("%(joist)s, center from the %(wall)s") % {"joist": name, "wall": wall}, tape.show(at)
            )
    own = {member.name for member in overhead.members}
    for member in layout.standing.members:
        if any(member.name == name or member.name.startswith(f"{name} (") for name in own):
            side, inset = _zero(layout, member.on, datum)
            wall = _face(datum, room.wall_name(side))
            what = _("%(what)s, %(width)s wide, center from the %(wall)s")
            told = {"what": member.name, "width": tape.show(member.width), "wall": wall}
            yield CheckLine(what % told, tape.show(member.at + inset))


def _first(layout, run, datum):
    """The joist nearest the zero corner that a tape can be pulled to: its name, place and the wall it is from."""
    on = Direction.ALONG if run.runs is not layout.along.axis else Direction.ACROSS
    side, inset = _zero(layout, on, datum)
    for member in layout.standing.members_on(on):
        at = member.at + inset
        if member.name.startswith("joist") and at.nm > 0:
            return member.name.partition(" (")[0], at, side
    return None


def _zero(layout, direction, datum):
    result = layout.along if direction is Direction.ALONG else layout.across
    return layout.inputs.orientation.zero_side(result.axis), insets(result, datum)[0]


def _face(datum, wall):
    words = {
        Datum.FRAMING: _("%s framing"),
        Datum.FINISHED: _("finished %s"),
        Datum.EDGE: _("ceiling edge at the %s"),
    }
    return words[datum] % wall


# Frames


def frame_lines(layout, room):
    """How each frame is turned, for as many marks at once as are turned alike; nothing where nothing decides it."""
    if not layout.standing.members:
        return
    for kind, fitting in layout.inputs.fittings.items():
        alike: dict = {}
        for mark in layout.arrangement.marks:
            if mark.kind is kind and fitting.frame is not None:
                lies = turned(fitting.frame, layout.turns[mark.id])
                alike.setdefault((lies.long_side, lies.box_toward), []).append(mark.id)
        for (long_side, box), ids in alike.items():
            yield _turned(in_ranges(ids), long_side, box, layout, room)


def _turned(ids, long_side, box, layout, room):
    runs = {run.runs for run in layout.inputs.overhead.joists}
    if len(runs) == 1:  # joists both ways are no direction to turn a frame by
        way = _("along the joists") if long_side in runs else _("across the joists")
    else:
        way = _("along the rows") if long_side is layout.along.axis else _("across the rows")
    if box is None:
        return _("%(marks)s: long side %(way)s, either end first") % {"marks": ids, "way": way}
    told = {"marks": ids, "way": way, "wall": room.wall_name(box)}
    return _("%(marks)s: long side %(way)s, box toward the %(wall)s") % told


# Clearances that aren't the table's


def override_lines(layout, tape):
    for thing in layout.inputs.overhead.things:
        if thing.note and thing.keeps_off:
            told = {"what": thing.name, "kept": tape.show(thing.clear), "note": thing.note, "source": thing.source}
            said = _("%(what)s: %(kept)s kept. %(note)s") % told
            yield f"{said} [{thing.source}]" if thing.source else said


def overhead_notes(layout, room, tape, *, covered):
    """covered: the drywall is up, and the frames are in."""
    frames = () if covered else tuple(frame_lines(layout, room))
    kept = tuple(override_lines(layout, tape))
    if frames:
        yield Note(_("Turn the frames"), frames)
    if kept:
        yield Note(_("Kept clear by note"), kept)

