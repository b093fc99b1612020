"""What a card says of the ceiling's shape and of what a person holds: tiles, slope, zones, parts, pins, ways taken."""

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from layout.engine.lengths import ZERO, Distance
from layout.engine.pins import Line
from layout.engine.slope import along_slope
from layout.offers.taking import PUT_BACK
from layout.plans import insets, sides_of
from reports.documents.sheet import CheckLine, Note, in_ranges

WAYS_SHOWN = 2  # the newest; the room's page has them all

# A lay-in grid


def border_lines(layout, room, tape):
    """The cut tiles at the walls, to be checked first: they say where the grid really starts."""
    wish = layout.arrangement.wish
    for result, tiles in ((layout.along, wish.tiles_along), (layout.across, wish.tiles_across)):
        if tiles is None:
            continue
        start, end = sides_of(result, layout.inputs.orientation)
        for side, size in ((start, tiles.first_border), (end, tiles.last_border)):
            yield CheckLine(_("border tile at the %s") % room.wall_name(side), tape.show(size))


def tile_at(tiles, at: Distance):
    """Which tile from the zero wall a mark stands in, the cut one at the wall counted as the first."""
    return sum(line < at for line in tiles.lines) + 1


# Beside each running number


def beside(layout, name, datum, tape):
    """(label, what to say of a position) for one way, as NumberColumn.also takes it."""
    result = layout.along if name == "along" else layout.across
    wish = layout.arrangement.wish
    tiles = wish.tiles_along if name == "along" else wish.tiles_across
    slope, inset = layout.slope_on(result), insets(result, datum)[0]

    def also(at: Distance):
        found = []
        if slope is not None:
            found.append((_("on the slope"), along_slope(at + inset, slope).show(tape, mark=False)))
        if tiles is not None:
            found.append((_("tile"), str(tile_at(tiles, at))))
        return tuple(found)

    return also


def said_of_way(layout, name):
    """What the caption of a row of numbers has to add."""
    result = layout.along if name == "along" else layout.across
    wish = layout.arrangement.wish
    said = []
    if layout.slope_on(result) is not None:
        said.append(_("big: on the plan, by plumb laser; small: with the tape on the slope"))
    if (wish.tiles_along if name == "along" else wish.tiles_across) is not None:
        said.append(_("tiles counted from this wall, the cut one too"))
    return "; ".join(said)


# Zones and parts


def zone_lines(layout, datum, tape):
    """Each zone's own proof: its last column and row to its edges, all from the one zero corner."""
    for laid in layout.zones if len(layout.zones) > 1 else ():  # of one alone, the row of numbers is the proof
        if not (laid.columns and laid.rows):
            continue
        zone = laid.zone
        ends = zone.along + zone.size_along, zone.across + zone.size_across
        along, across = insets(layout.along, datum)[0], insets(layout.across, datum)[0]
        name = f"{zone.name} ({zone.title})" if zone.title else zone.name
        yield _("%(zone)s: along to %(a)s, last to edge %(la)s; across to %(b)s, last to edge %(lb)s") % {
            "zone": name,
            "a": tape.show(ends[0] + along),
            "la": tape.show(tape.rounded(ends[0] + along) - tape.rounded(max(laid.columns, key=int) + along)),
            "b": tape.show(ends[1] + across),
            "lb": tape.show(tape.rounded(ends[1] + across) - tape.rounded(max(laid.rows, key=int) + across)),
        }


def part_lines(layout, height, tape):
    """Parts of the ceiling at their own height. height: of the main one, finished; None where it isn't known."""
    for region in layout.inputs.regions:
        if region.rise == ZERO:
            continue
        by = tape.show(abs(region.rise))
        said = _("%(part)s: %(by)s up") if region.rise > ZERO else _("%(part)s: %(by)s down")
        line = said % {"part": region.name, "by": by}
        yield line if height is None else f"{line}, {_('finished %s') % tape.show(height + region.rise)}"


# What a person holds


def pinned_lines(layout, datum, tape):
    for pin in layout.inputs.pins:
        column = pin.line is Line.COLUMN
        lines = layout.arrangement.columns if column else layout.arrangement.rows
        if pin.number > len(lines) or lines[pin.number - 1] != pin.at:
            continue
        at = pin.at + insets(layout.along if column else layout.across, datum)[0]
        held = [
            mark.id for mark in layout.arrangement.marks if (mark.along if column else mark.across) == pin.at
        ]
        said = _("column %(number)s (%(marks)s) at %(at)s") if column else _("row %(number)s (%(marks)s) at %(at)s")
        yield said % {"number": pin.number, "marks": in_ranges(held), "at": tape.show(at)}


def moved_lines(layout, datum, tape):
    along, across = insets(layout.along, datum)[0], insets(layout.across, datum)[0]
    for mark in layout.arrangement.marks:
        if mark.moved_from is not None:
            was_along, was_across = mark.moved_from
            yield _("%(mark)s stands alone; its line was %(along)s along, %(across)s across") % {
                "mark": mark.id,
                "along": tape.show(was_along + along),
                "across": tape.show(was_across + across),
            }


def ways_in(room, revision):
    """The ways out taken before this revision that still stand, oldest first."""
    standing = []
    for way in reversed(room.ways_taken.all()):
        if way.at > revision.issued_at:
            break
        if standing and (way.kind == PUT_BACK or (way.on_site and standing[-1].on_site)):
            standing.pop()  # put back, or worked out anew from what was there before
        if way.kind != PUT_BACK:
            standing.append(way)
    return standing


def way_lines(room, revision):
    for way in ways_in(room, revision)[-WAYS_SHOWN:]:
        who = way.by.user.name if way.by else _("by somebody")
        said = _("%(words)s. Why: %(reason)s (%(who)s, %(on)s)") % {
            "words": way.words.rstrip("."),
            "reason": way.reason.rstrip("."),
            "who": who,
            "on": date_format(way.at, "j M"),
        }
        yield f"{said}. {_('Given up: %s') % way.cost}" if way.cost else said


def may_move(room, tape):
    """How far a crew may move lines when it finds things otherwise, without asking; '' where nobody has said."""
    draft = getattr(room, "draft", None)
    if draft is None:
        return ""
    columns, rows = tape.show(draft.columns_may_move), tape.show(draft.rows_may_move)
    if columns == rows:
        return _("without asking: up to %s") % columns
    return _("without asking: columns up to %(columns)s, rows %(rows)s") % {"columns": columns, "rows": rows}


def ceiling_notes(layout, room, revision, datum, tape):
    """Everything there is to say, each under its own name."""
    for title, lines in (
        (_("Zones, from the one zero corner"), zone_lines(layout, datum, tape)),
        (_("Pinned: leave"), pinned_lines(layout, datum, tape)),
        (_("Moved by hand"), moved_lines(layout, datum, tape)),
        (_("Way out taken"), way_lines(room, revision)),
    ):
        found = tuple(lines)
        if found:
            yield Note(title, found)
