"""What is overhead in the demo's rooms, entered through the services that pages use. Knows no layouts."""

from projects.catalogue.tables import read_length
from projects.ceilings.models import JoistRun, OddMember, OutlineCorner, Region, Thing
from projects.ceilings.services import ceiling_of, change_ceiling
from projects.ceilings.values import Entered, entered
from reports.demo.rows import row_of

LENGTHS = {"spacing", "width", "depth", "first", "at", "x", "y", "wide", "deep", "clear", "leaves", "rise", "run"}


def enter_ceiling(room, told, looked_on):
    """told: the room's `ceiling` of fixtures/demo.json. looked_on: its day, moved as all of the demo's are."""
    ceiling = ceiling_of(room)
    change_ceiling(
        ceiling,
        ceiling.version,
        Entered(
            columns=entered(None).columns | _columns(told, looked_on),
            joists=_rows(JoistRun, told["joists"]),
            members=_rows(OddMember, told["members"]),
            things=_rows(Thing, told["things"]),
            corners=tuple(OutlineCorner(x=x, y=y) for x, y in _corners(told["outline"])),
            regions=tuple(
                (
                    Region(name=part["name"], rise=read_length(part["rise"]), laid_out=part["laid_out"]),
                    tuple(_corners(part["corners"])),
                )
                for part in told["regions"]
            ),
        ),
    )


def _columns(told, looked_on):
    columns = {"framing": told["framing"], "looked_by": told["looked_by"], "looked_on": looked_on, "note": told["note"]}
    columns |= {name: read_length(told[name]) for name in ("open_above", "keep_free") if told[name]}
    if grid := told["grid"]:
        columns |= {f"grid_{name}": read_length(grid[name]) for name in ("pitch_x", "pitch_y", "line_x", "line_y")}
        columns["grid_datum"] = grid["datum"]
    if slope := told["slope"]:
        columns |= {f"slope_{name}": read_length(slope[name]) for name in ("rise", "run")}
        columns["slope_along"] = slope["along"]
    return columns


def _rows(model, rows):
    return tuple(model(**row_of(row, LENGTHS)) for row in rows)


def _corners(corners):
    return ((read_length(x), read_length(y)) for x, y in corners)
