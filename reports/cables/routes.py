"""From a wired room to its routes as drawn: extent, marks, boxes and lines. No way is worked out here."""

from django.utils.translation import gettext as _

from layout.engine.marks import Kind
from layout.engine.wiring.routes import routes_drawing
from layout.services import thawed
from reports.cables.drawing import PlanMark, PlanOutlet, RoutePlan, look_svg, looks_of, routes_svg
from reports.wired import drops_of, room_wiring


def room_plan(room, revision, found):
    """(the svg, the routes drawn, whether framing is known). found: the room's RoomFound. Raises NotAsIssued."""
    layout = thawed(revision)
    wired = room_wiring(room, revision, layout)
    marks = list(revision.marks.all())
    drops = drops_of(marks, layout)
    routes = routes_drawing(found.wiring)
    detours = sum(bool(run.around) for run in found.wiring.runs)
    plan = RoutePlan(
        extent=wired.extent,
        marks=[PlanMark(mark.ident, Kind(mark.kind), drops[mark.ident].at) for mark in marks],
        outlets=[PlanOutlet(name, at) for name, at in _outlets(wired)],
        routes=routes,
        numbers={cable.run.key: cable.id for cable in found.cables},
        framing=wired.framing,
        in_the_way=wired.in_the_way,
        title=_("Cable routes of %s") % room.name,
        description=_("%(runs)s runs drawn, %(detours)s of them around something. The table below tells each.")
        % {"runs": len(routes), "detours": detours},
    )
    return routes_svg(plan), routes, bool(wired.framing)


def _outlets(wired):
    """Each box on a wall once, by the name on its place."""
    outlets = [wired.panel, wired.rack, *(line.control for line in wired.speaker_lines)]
    outlets += [each for zone in wired.zones for each in (zone.switch, zone.partner)]
    named = {}
    for outlet in outlets:
        if outlet:
            named.setdefault(outlet.at, outlet.id)
    return [(name, at) for at, name in named.items()]


def legend_of(routes):
    """(a piece of the line, what it is) for each group of runs on the plan."""
    told = {"homerun": _("homerun, arrow to the panel"), "speaker": _("speaker runs")}
    rows = []
    for place, look in enumerate(looks_of(routes)):
        said = told.get(look.kind) or (_("zone %s") % look.name if look.name else _("lights"))
        rows.append((look_svg(look, said, f"look-{place}"), said))
    return rows
