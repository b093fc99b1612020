"""The sum column's lines about what a person holds, framing, tiles, zones and slope. Each only where it applies."""

from bisect import bisect_left

from django.utils.translation import gettext as _

from layout.engine.checks import apart
from layout.engine.lengths import Style
from layout.engine.marks import Axis, Kind
from layout.engine.overhead.footprint import frame
from layout.engine.overhead.stand import Direction
from layout.engine.pins import Line as Held
from layout.engine.slope import along_slope, angle_deg, in_twelve
from layout.sum_lines import COMMON, Line


def of_the_ceiling(key, layout, words):
    """key: along or across."""
    result = layout.along if key == "along" else layout.across
    yield from _zone(key, layout, words)
    yield from _pinned(key, layout, words)
    yield from _moved(key, layout, words)
    yield from _tiles(key, layout, words)
    yield from _joists(key, layout, words)
    yield from _slope(key, layout, result, words)


def _zone(key, layout, words):
    if not layout.zones:
        return
    zone = layout.zones[0].zone
    yield Line(
        f"{key}-zone",
        "",
        _("zone %s, the largest") % zone.name,
        words.show(zone.size_along if key == "along" else zone.size_across),
        _("off the wall, outer and gaps are this zone's, from its own edges"),
    )


# What a person holds


def _pinned(key, layout, words):
    lines, which = _lines_of(key, layout)
    for pin in sorted(layout.inputs.pins, key=lambda pin: pin.number):
        if pin.line is which and pin.number <= len(lines) and lines[pin.number - 1] == pin.at:
            what = _("column %s, pinned") if which is Held.COLUMN else _("row %s, pinned")
            yield Line(
                f"{key}-pin-{pin.number}",
                "",
                what % pin.number,
                words.show(pin.at),
                _("held by hand"),
                rule=_("A pinned line stays; the lines between pins, or to the wall, are spread evenly."),
                source=COMMON,
            )


def _lines_of(key, layout):
    arrangement = layout.arrangement
    return (arrangement.columns, Held.COLUMN) if key == "along" else (arrangement.rows, Held.ROW)


def _moved(key, layout, words):
    for mark in layout.arrangement.marks:
        if mark.moved_from is None:
            continue
        was = mark.moved_from[0 if key == "along" else 1]
        by = getattr(mark, key) - was
        if by:
            yield Line(
                f"{key}-moved-{mark.id}",
                "",
                _("%s, moved alone") % mark.id,
                words.show(abs(by)),
                _("off its line at %s") % words.tape.show(was),
                tone="warn",
            )


# A lay-in grid


def _tiles(key, layout, words):
    wish, grid = layout.arrangement.wish, layout.inputs.grid
    tiles = wish.tiles_along if key == "along" else wish.tiles_across
    if tiles is None or grid is None:
        return
    result = layout.along if key == "along" else layout.across
    found = (grid.line_x if result.axis is Axis.LEFT_RIGHT else grid.line_y) is not None
    yield Line(
        f"{key}-tiles",
        "",
        _("whole tiles of %s") % words.tape.show(tiles.pitch),
        str(tiles.full),
        _("from a grid line as found") if found else _("by the border rule: ask where the grid really starts"),
        tone="" if found else "warn",
    )
    if tiles.first_border == tiles.last_border:
        yield _border(f"{key}-border", _("border tile, both ends"), tiles, tiles.first_border, words)
    else:
        yield _border(f"{key}-border-first", _("border tile, first"), tiles, tiles.first_border, words)
        yield _border(f"{key}-border-last", _("border tile, last"), tiles, tiles.last_border, words)


def _border(key, what, tiles, border, words):
    sliver = border * 2 < tiles.pitch
    return Line(
        key,
        "",
        what,
        words.exact(border),
        _("under half a tile") if sliver else _("whole") if border == tiles.pitch else _("cut, half a tile or more"),
        tone="warn" if sliver else "",
        rule=_("The grid is shifted until both border tiles are half a tile or more."),
        source=_("half-tile border rule, as quoted by public pages"),
    )


# Framing


def _joists(key, layout, words):
    """The member nearest to a hole, and to a frame above the drywall, by what is left beyond what is kept."""
    direction = Direction.ALONG if key == "along" else Direction.ACROSS
    members = layout.standing.members_on(direction)
    hole = _nearest(members, _holes(key, layout))
    if hole is not None:
        spare, apart_, half, mark, member = hole
        yield _joist_line(
            f"{key}-joist",
            _("nearest joist to a hole, center to center"),
            (apart_, half + member.clear + member.width / 2),
            (mark, member, spare),
            words,
            _("Half the hole, the free material and half the member, center to center."),
        )
    plate = _nearest(members, _frames(key, layout))
    if plate is not None:
        spare, _apart, _half, mark, member = plate
        yield _joist_line(
            f"{key}-joist-frame",
            _("nearest joist to a frame, side to side"),
            (spare + member.clear, member.clear),
            (mark, member, spare),
            words,
            _("From the frame's side to the member's, as the frame is turned here."),
        )


def _holes(key, layout):
    """Each mark, its hole's center and half of it."""
    for mark in layout.arrangement.marks:
        yield mark, getattr(mark, key), layout.inputs.fittings[mark.kind].cutout / 2


def _frames(key, layout):
    """Each mark with a frame, the frame's center and half of it this way."""
    for mark in layout.arrangement.marks:
        plate = layout.inputs.fittings[mark.kind].frame
        if plate is not None and mark.id in layout.turns:
            lies = frame(plate, layout.turns[mark.id], layout.inputs.orientation)
            off, half = (lies.off_along, lies.half_along) if key == "along" else (lies.off_across, lies.half_across)
            yield mark, getattr(mark, key) + off, half


def _nearest(members, bodies):
    """(what is left beyond what is kept, center to center, half the body, mark, member) where the least is left."""
    centers = [member.at for member in members]
    worst, seen = None, set()
    for mark, center, half in bodies:
        if (center, half) in seen:
            continue
        seen.add((center, half))
        place = bisect_left(centers, center)
        for member in members[max(0, place - 1) : place + 1]:
            apart_ = abs(center - member.at)
            spare = apart_ - half - member.clear - member.width / 2
            if worst is None or spare < worst[0]:
                worst = spare, apart_, half, mark, member
    return worst


def _joist_line(key, what, sizes, beside, words, rule):
    there, kept = sizes
    mark, member, spare = beside
    told = _("%(joist)s to %(mark)s, keeps %(kept)s")
    if spare.nm < 0:
        told = _("%(joist)s to %(mark)s, too near: keeps %(kept)s")
    return Line(
        key,
        "",
        what,
        words.show(there),
        told % {"joist": member.name, "mark": mark.id, "kept": words.tape.show(kept)},
        tone="bad" if spare.nm < 0 else "ok",
        rule=rule,
        source=COMMON,
    )


# Speakers


def nearest_light(marks):
    """From a speaker to the light nearest to it, center to center; None where there are not both."""
    lights = [mark for mark in marks if mark.kind is Kind.LIGHT]
    rows = {}
    for light in lights:
        rows.setdefault(light.row, []).append(light)
    found = None
    for row in sorted({mark.row for mark in marks if mark.kind is Kind.SPEAKER}):
        near = [light for each in (row - 1, row, row + 1) for light in rows.get(each, ())]
        own = [mark for mark in marks if mark.kind is Kind.SPEAKER and mark.row == row]
        for there in (apart(speaker, light) for speaker in own for light in near):
            found = there if found is None or there < found else found
    return found


# Slope


def _slope(key, layout, result, words):
    slope = layout.slope_on(result)
    if slope is None:
        if key == "along" and words.room.ceiling_system == "sloped" and layout.inputs.slope is None:
            yield Line("slope", "", _("slope"), "", _("not entered: all numbers are plan distances"), tone="warn")
        return
    metric = words.tape.style is Style.MM
    yield Line(
        f"{key}-slope",
        "",
        _("slope, in 100") if metric else _("slope, in 12"),
        f"{float(in_twelve(slope) * 100 / 12 if metric else in_twelve(slope)):.4g}",
        _("%s degrees; numbers are plan distances, a tape on the ceiling reads more") % f"{angle_deg(slope):.1f}",
        rule=_("Plan distance over the cosine. A plumb laser keeps plan distances."),
        source=_("geometry"),
    )
    gaps = layout.arrangement.along_gaps if key == "along" else layout.arrangement.across_gaps
    if gaps:
        low, high = (along_slope(gap, slope).show(words.tape, mark=False) for gap in (min(gaps), max(gaps)))
        told = low if low == high else _("%(low)s to %(high)s") % {"low": low, "high": high}
        yield Line(f"{key}-gap-on-slope", "", _("gap on the slope"), told)


def on_the_slope(at, layout, result, words):
    """A running number as a tape on the ceiling reads it; '' where that is the same."""
    slope = layout.slope_on(result)
    if slope is None:
        return ""
    return _("%s on the slope") % along_slope(at, slope).show(words.tape)
