"""From what was entered about a ceiling to the engine's values. Asks the database nothing; lays nothing out."""

from dataclasses import dataclass, field, replace

from django.utils.translation import gettext as _

from layout.engine.ceiling import Corner, Grid, Slope
from layout.engine.ceiling import Region as RegionValue
from layout.engine.lengths import ZERO, Distance
from layout.engine.marks import Axis, Datum, Side
from layout.engine.overhead.fan import SOURCE as FAN_SOURCE
from layout.engine.overhead.fan import fan_clear
from layout.engine.overhead.values import Cavity, ClearTo, Joists, Member, Overhead
from layout.engine.overhead.values import Thing as ThingValue
from projects.catalogue import tables
from projects.ceilings.models import Ceiling, JoistRun, MemberPoint, OddMember, OutlineCorner, Region, Thing

# The columns of Ceiling that people fill in.
COLUMNS = (
    "framing", "looked_by", "looked_on", "note", "open_above", "keep_free", "grid_pitch_x", "grid_pitch_y",
    "grid_line_x", "grid_line_y", "grid_datum", "half_tiles", "cut_tiles", "slope_along", "slope_rise", "slope_run",
)  # fmt: skip


FAN = "ceiling_fan"  # the entry whose clearance follows from its blades and the light's beam


@dataclass(frozen=True, slots=True)
class Entered:
    """All that is entered about one ceiling: the columns by name, and its rows, stored or not.

    regions: each with its corners, (x, y) in order round it.
    """

    columns: dict = field(default_factory=dict)
    joists: tuple[JoistRun, ...] = ()
    members: tuple[OddMember, ...] = ()
    things: tuple[Thing, ...] = ()
    corners: tuple[OutlineCorner, ...] = ()
    regions: tuple[tuple[Region, tuple[tuple[Distance, Distance], ...]], ...] = ()

    def with_columns(self, **columns):
        return replace(self, columns=self.columns | columns)

    @property
    def empty(self):
        told = any(self.columns.get(name) for name in ("framing", "open_above", "grid_pitch_x", "slope_along"))
        return not (told or self.joists or self.members or self.things or self.corners or self.regions)


def entered(ceiling: Ceiling | None) -> Entered:
    """As stored; of a room nobody looked at, nothing. Reads what room_of has fetched."""
    if ceiling is None:
        return Entered({name: Ceiling._meta.get_field(name).get_default() for name in COLUMNS})
    columns = {name: getattr(ceiling, name) for name in COLUMNS}
    if ceiling.pk is None:
        return Entered(columns)
    return Entered(
        columns,
        tuple(ceiling.joists.all()),
        tuple(ceiling.members.all()),
        tuple(ceiling.things.all()),
        tuple(ceiling.corners.all()),
        tuple((region, tuple((c.x, c.y) for c in region.corners.all())) for region in ceiling.regions.all()),
    )


def overhead_of(entry: Entered, room, tape, beam_deg=None) -> Overhead:
    """room: with its shop, whose table gives the joists' clearance, and its build-up. beam_deg: of the room's light."""
    clear = room.shop.joist_clear
    return Overhead(
        joists=tuple(
            Joists(
                runs=Axis(run.runs),
                spacing=run.spacing,
                width=run.width,
                first=center_of(run.first, run.width, run.first_to),
                first_from=Side(run.first_from),
                datum=Datum(run.datum),
                clear=clear,
                depth=run.depth,
            )
            for run in entry.joists
        ),
        members=tuple(
            Member(
                name=odd.name,
                runs=Axis(odd.runs),
                at=center_of(odd.at, odd.width, odd.at_to),
                at_from=Side(odd.at_from),
                datum=Datum(odd.datum),
                width=odd.width,
                clear=clear,
            )
            for odd in entry.members
        ),
        things=tuple(thing_of(thing, beam_deg) for thing in entry.things),
        cavity=cavity_of(entry, room, tape),
        looked=bool(entry.columns.get("framing")),
    )


def center_of(read: Distance, width: Distance, point: str) -> Distance:
    """A member's center from the wall, when the tape was read at one of its faces."""
    if point == MemberPoint.NEAR:
        return read + width / 2
    return read - width / 2 if point == MemberPoint.FAR else read


def thing_of(thing: Thing, beam_deg=None) -> ThingValue:
    """A key the table no longer has is kept as the strictest: fixed, above the drywall."""
    known = tables.clearances().get(thing.what)
    table, source = (known.clear, known.source) if known else (ZERO, "")
    if thing.what == FAN and thing.blades_drop is not None and beam_deg is not None and 0 < beam_deg < 180:
        table, source = fan_clear(thing.blades_drop, float(beam_deg) / 2, table), FAN_SOURCE
    return ThingValue(
        name=thing.name,
        what=thing.what,
        x=thing.x,
        y=thing.y,
        wide=thing.wide,
        deep=thing.deep,
        round=thing.round,
        datum=Datum(thing.datum),
        clear=table if thing.clear is None else thing.clear,
        clear_to=ClearTo(known.clear_to) if known else ClearTo.RIM,
        above=thing.above,
        leaves=thing.leaves,
        fixed=known.fixed if known else True,
        # Some entries only say a word of caution: nothing has to keep away, unless somebody says how far.
        keeps_off=known.keeps_off or thing.clear is not None if known else True,
        source=source,
        note=thing.note,
    )


def cavity_of(entry: Entered, room, tape) -> Cavity | None:
    """The drywall's face to what is above: the layers of the build-up, and the joists' depth. None: nobody knows."""
    layers = [layer for layer in room.layers.all() if layer.surface == "ceiling"]
    depths = [run.depth for run in entry.joists if run.depth is not None]
    above = entry.columns.get("open_above")
    parts = []
    if above is not None:
        parts.append((_("open above"), above))
    elif depths:
        parts.append((_("joists"), min(depths)))
    else:
        return None
    parts += [(layer.name, layer.thickness) for layer in layers]
    return Cavity(
        depth=sum((thickness for _name, thickness in parts), start=Distance(ZERO.nm)).exact(),
        keep=entry.columns.get("keep_free") or ZERO,
        what=" + ".join(f"{name} {tape.show(thickness)}" for name, thickness in parts),
    )


def outline_of(entry: Entered) -> tuple[Corner, ...]:
    return tuple(Corner(corner.x, corner.y) for corner in entry.corners)


def regions_of(entry: Entered) -> tuple[RegionValue, ...]:
    return tuple(
        RegionValue(region.name, tuple(Corner(x, y) for x, y in corners), region.rise, region.laid_out)
        for region, corners in entry.regions
    )


def grid_of(entry: Entered) -> Grid | None:
    told = entry.columns
    if told.get("grid_pitch_x") is None:
        return None
    return Grid(
        pitch_x=told["grid_pitch_x"],
        pitch_y=told["grid_pitch_y"],
        line_x=told["grid_line_x"],
        line_y=told["grid_line_y"],
        datum=Datum(told["grid_datum"]),
        half_tiles=told["half_tiles"],
        cut_tiles=told["cut_tiles"],
    )


def slope_of(entry: Entered) -> Slope | None:
    told = entry.columns
    if not told.get("slope_along"):
        return None
    return Slope(Axis(told["slope_along"]), told["slope_rise"], told["slope_run"])
