"""What the page that compares layouts shows: the sweep as a chart and one sentence, and lights side by side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _

from layout.engine.findings import say
from layout.engine.lengths import LengthError, meters
from layout.engine.light.compare import SAME, Off, Point, Sweep, Wanted, Way, counts_of, lights_of, sweep, ways
from layout.engine.light.measures import Measures
from layout.engine.light.values import LightError
from layout.engine.room import RoomLayout
from layout.engine.rows.wish import Mode
from layout.light.choices.forms import BOTH, ENDS, MODES, ROWS
from layout.light.choices.shining import Shining, can_shine, laid_out_with, lights_of_the_catalog
from layout.light.emitters import lacks
from layout.light.pictures import ChartPoint, Picture, Told, wall_chart
from layout.light.queries import RoomLight
from layout.light.words import OTHER_WAY, changed_by

MOST_TYPES = 8  # lights compared side by side
MOST_BROKEN = 8  # rules broken, told on the page
MOST_TRIED, MOST_BESIDE = 600, 300  # lights worked out while a page waits: of all layouts, of the catalog's lights
OFF = {BOTH: Off(), ENDS: Off(rows=False), ROWS: Off(ends=False)}


@dataclass(frozen=True, slots=True)
class TypeRow:
    """One light of the catalog in the layout as it is. lacks: why it can't be computed; findings: rules it breaks."""

    name: str
    now: bool
    cells: tuple[str, ...] = ()
    lacks: str = ""
    findings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Compared:
    chart: Picture | None
    sentence: str
    broken: tuple[tuple[str, str], ...]  # which layout, which rule
    more_broken: int
    refused: tuple[tuple[str, str], ...]
    points: tuple[ChartPoint, ...] = ()


def compared(light: RoomLight, asked) -> Compared:
    """asked: a CompareForm's cleaned data. Raises LengthError, LightError, NoLight."""
    told, other = Told(light.room.job.tape), asked["light_type"]
    base = laid_out_with(light.room, light.draft, other)
    rows, lights = counts_of(base)
    counts = tuple((r, n) for r in asked["rows"] or (rows,) for n in asked["lights"] or (lights,))
    off = OFF[asked["off"]]
    modes = tuple(Mode(mode) for mode in asked["modes"])
    wanted = Wanted(asked["low"], asked["high"], asked["step"], off, modes, counts)
    tried = ways(base, wanted)
    if not tried:
        raise LengthError(_("Nothing is typed in this room to compare with. Choose another way to set out."))
    _refuse_too_many(tried, rows, lights)
    found = sweep(base, tried, Shining(light.room, light.setup, light.draft, other))
    along = off.ends
    names = {id(point): _name(point.way, point.layout, many=len(counts) > 1) for point in found.points}
    if not found.points:
        raise LengthError(found.refused[0][1])
    chart = [_chart_point(names[id(point)], point, along) for point in found.points]
    chosen = _chart_point(str(MODES[found.chosen.way.mode]), found.chosen, along)
    broken = list(_broken(found, names, told, along))
    return Compared(
        chart=wall_chart(chart, chosen, told=told),
        sentence=sentence(found, told, along),
        broken=tuple(broken[:MOST_BROKEN]),
        more_broken=max(0, len(broken) - MOST_BROKEN),
        refused=tuple((_name(way, base, many=True), why) for way, why in found.refused[:MOST_BROKEN]),
        points=tuple(chart),
    )


def _refuse_too_many(tried: tuple[Way, ...], rows: int, lights: int) -> None:
    """rows, lights: as they are, where a way says none of its own."""
    count = sum((way.change.get("rows") or rows) * (way.change.get("lights_per_row") or lights) for way in tried)
    if count > MOST_TRIED:
        said = _(
            "These layouts have %(count)s lights together; %(most)s are worked out while a page waits. Take a wider "
            "step, fewer counts or fewer ways to set out."
        )
        raise LengthError(said % {"count": count, "most": MOST_TRIED})


def _name(way: Way, layout: RoomLayout, *, many: bool) -> str:
    name = str(MODES[way.mode])
    if not many:
        return name
    rows, lights = way.change.get("rows"), way.change.get("lights_per_row")
    if rows is None:
        rows, lights = counts_of(layout)
    return _("%(rows)s × %(lights)s, %(name)s") % {"rows": rows, "lights": lights, "name": name}


def _chart_point(name: str, point: Point, along: bool) -> ChartPoint:
    found = point.measures
    return ChartPoint(
        mode=name, setback_m=meters(_off(point, along)), wall_over_plane=found.wall_over_plane or 0.0,
        worst_strip_lx=found.worst_strip.lx, plane_avg_lx=found.plane_avg_lx, lights=point.lights,
    )  # fmt: skip


def _off(point: Point, along: bool):
    return point.off_ends if along else point.off_rows


def _broken(found: Sweep, names, told: Told, along: bool) -> Iterator[tuple[str, str]]:
    """Each rule once with the first layout that breaks it."""
    for point in found.points:
        name = _("%(name)s, %(off)s off") % {"name": names[id(point)], "off": told.setback(meters(_off(point, along)))}
        for finding in point.findings[:2]:
            yield name, say(finding, told.tape)


def sentence(found: Sweep, told: Told, along: bool) -> str:
    """What the chart says, from what was computed: which way walls go, and where this layout stands among them."""
    held = [point for point in found.points if point.way.mode is Mode.WALL_HELD and point.measures.wall_over_plane]
    now = found.chosen.measures.wall_over_plane or 0.0
    stands = _("This layout: %(off)s off the wall, walls %(now)s of the plane.") % {
        "off": told.setback(meters(_off(found.chosen, along))), "now": f"{now:.2f}",
    }  # fmt: skip
    held = sorted((one for one in held if _count(one) == _count(held[0])), key=lambda one: _off(one, along))
    if len(held) < 2 or _off(held[0], along) == _off(held[-1], along):
        return stands
    near, far = held[0], held[-1]
    ratios = [one.measures.wall_over_plane or 0.0 for one in held]
    said = _(
        "From %(near)s to %(far)s off the wall, the walls go from %(first)s to %(last)s of the plane (%(percent)s %%) "
        "and the plane from %(plane_first)s to %(plane_last)s."
    ) % {
        "near": told.setback(meters(_off(near, along))), "far": told.setback(meters(_off(far, along))),
        "first": f"{ratios[0]:.2f}", "last": f"{ratios[-1]:.2f}",
        "percent": changed_by(ratios[0], ratios[-1]),
        "plane_first": told.both(near.measures.plane_avg_lx), "plane_last": told.both(far.measures.plane_avg_lx),
    }  # fmt: skip
    if len({one.lights for one in held}) > 1:
        said = f"{said} {_('The count of lights changes on the way: see the table.')}"
    return f"{said} {_which_way(held, ratios, told, along)} {stands}"


def _count(point: Point):
    return point.way.change.get("rows"), point.way.change.get("lights_per_row")


def _which_way(held, ratios, told: Told, along: bool) -> str:
    brightest, darkest = ratios.index(max(ratios)), ratios.index(min(ratios))
    if max(ratios) < (1 + SAME) * min(ratios):
        return _("Here it makes no difference.")
    if brightest == 0 and darkest == len(ratios) - 1:
        return _("Nearer is brighter here.")
    if darkest == 0 and brightest == len(ratios) - 1:
        return str(OTHER_WAY)
    return _("The walls are brightest at %(at)s, neither nearest nor farthest.") % {
        "at": told.setback(meters(_off(held[brightest], along)))
    } if 0 < brightest < len(ratios) - 1 else _("It turns on the way: see the chart.")


# Lights side by side


def side_by_side(light: RoomLight) -> tuple[TypeRow, ...]:
    """The lights of the catalog in the layout as it is, this room's own first."""
    told, own = Told(light.room.job.tape), light.draft.light_type
    others = [one for one in lights_of_the_catalog(light.room.shop) if one.pk != own.pk]
    most = min(MOST_TYPES - 1, MOST_BESIDE // lights_of(light.layout))
    shining = sorted(others, key=lambda one: not can_shine(one))[:most]
    return tuple(_type_row(light, one, told, now=one is own) for one in (own, *shining))


def _type_row(light: RoomLight, one, told: Told, *, now: bool) -> TypeRow:
    if not can_shine(one):
        words = {"lumens": _("lumens"), "beam_deg": _("a beam angle")}
        return TypeRow(one.name, now, lacks=_("needs a photometric file, or %(what)s") % {
            "what": _(" and ").join(str(words[name]) for name in lacks(one)),
        })  # fmt: skip
    try:
        layout = laid_out_with(light.room, light.draft, None if now else one)
        found = sweep(layout, (), Shining(light.room, light.setup, light.draft, None if now else one)).chosen
    except (LengthError, LightError) as refused:
        return TypeRow(one.name, now, lacks=str(refused))
    findings = tuple(say(finding, told.tape) for finding in layout.arrangement.findings[:2])
    return TypeRow(one.name, now, _cells(found.measures, told, lights_of(layout)), findings=findings)


def _cells(found: Measures, told: Told, lights: int) -> tuple[str, ...]:
    power = "—" if found.w_per_ft2 is None else f"{found.w_per_ft2:.2f}" if told.feet else f"{found.w_per_m2:.1f}"
    return (
        str(lights), told.both(found.plane_avg_lx), _ratio(found.wall_over_plane), told.both(found.worst_strip.lx),
        _ratio(found.min_over_avg), "—" if found.watts is None else f"{found.watts:.0f}", power,
    )  # fmt: skip


def _ratio(value: float | None) -> str:
    return _("dark") if value is None else f"{value:.2f}"
