"""What a client is shown of a revision, as plain values in whole millimeters: kept word for word with its link.

Places are on the plan, from the left and the door side of the ceiling's edge.
"""

import json

from layout.engine.lengths import mm
from layout.engine.light.measures import measure
from layout.engine.marks import Axis, Kind, Side
from layout.frozen import freeze_result
from layout.furniture.places import insets_of, middle_of
from layout.furniture.queries import kept_of
from layout.light.drawn import pictures_of
from layout.light.pictures.values import Told
from layout.light.queries import light_of
from layout.services import thawed
from reports.changes.pricing import price_moves
from reports.estimating.kept_text import Altered, digest_of

MILLIMETER = int(mm(1))  # nm
VIEW = "light-view"
# A room's stage once rough-in is done, and once the drywall hangs: reports.changes has a rule from each on.
AFTER_ROUGH_IN, AFTER_DRYWALL = 6, 8


def contents_of(room, revision, *, message="", costs=False):
    """revision: with its marks' types. Raises NotAsIssued; NoWage, MoneyError where a price can't be made."""
    layout = thawed(revision)
    turn = layout.inputs.orientation
    wide, deep = layout.wide.datums.ceiling, layout.deep.datums.ceiling
    insets = insets_of(layout)
    light, view = _light(room, revision)
    return {
        "shop": room.shop.name,
        "job": {"number": room.job.number, "name": room.job.name, "site": room.job.site},
        "room": room.name,
        "level": room.level,
        "revision": revision.number,
        "hash": revision.short_hash,
        "message": message,
        "turn": [turn.rows_run.value, turn.zero_x.value, turn.zero_y.value],
        "wide": _mm(wide),
        "deep": _mm(deep),
        "off_walls": [_mm(one) for one in insets],
        "walls": [_mm(one) for one in _walls(layout)],
        "corners": [[_mm(corner.x), _mm(corner.y)] for corner in layout.inputs.outline],
        "marks": list(_marks(layout, revision, turn, wide, deep)),
        "furniture": [_piece(kept, insets) for kept in kept_of(revision)],
        "height": None if revision.finished_height is None else _mm(revision.finished_height),
        "light": light,
        "view": view,
        "costs": _costs(room, revision) if costs else None,
    }


def _mm(length) -> int:
    return round(length.nm / MILLIMETER)


def _walls(layout):
    """Left, door, right, far: where the finished walls stand from the ceiling's corner at the left and the door."""
    turn, sides = layout.inputs.orientation, []
    for result, low in ((layout.wide, Side.LEFT), (layout.deep, Side.DOOR)):
        datums = result.datums
        at_start = turn.zero_side(result.axis) is low
        before, after = (datums.start_gap, datums.end_gap) if at_start else (datums.end_gap, datums.start_gap)
        sides.append((-before, datums.ceiling + after))
    (left, right), (door, far) = sides
    return left, door, right, far


def _marks(layout, revision, turn, wide, deep):
    types = {mark.ident: mark.fixture_type for mark in revision.marks.select_related("fixture_type")}
    for mark in layout.arrangement.marks:
        x, y = turn.plan_xy(mark.along, mark.across, wide, deep)
        own = types[mark.id]
        yield {
            "id": mark.id, "kind": mark.kind.value, "type": own.name, "zone": mark.zone, "x": _mm(x), "y": _mm(y),
            "size": _mm(own.cutout),
        }  # fmt: skip


def _piece(kept, insets):
    x, y = middle_of(kept)
    return {
        "name": kept.name, "round": kept.round, "x": _mm(x - insets[0]), "y": _mm(y - insets[1]),
        "wide": _mm(kept.wide), "deep": _mm(kept.deep), "marks": kept.idents,
    }  # fmt: skip


def _light(room, revision):
    """The level on the work plane and the shaded view, where the room's light is known and is this revision's."""
    found = light_of(room)
    if found.solved is None or found.layout is None or freeze_result(found.layout) != revision.result:
        return None, ""
    pictures = pictures_of(found.made, found.solved, None, Told(room.job.tape))
    view = next((one for one in pictures if one.key == VIEW), None)
    level = measure(found.solved, None).plane_avg_lx
    return {"lux": round(level), "plane": round(1000 * found.made.scene.plane_m)}, view.svg if view else ""


def _costs(room, revision):
    """What moving one light of each type comes to: now, after rough-in, after drywall. No sum is made here."""
    marks, rows = list(revision.marks.select_related("fixture_type").order_by("pk")), {}
    for mark in marks:
        if mark.kind == Kind.LIGHT.value and mark.fixture_type_id not in rows:
            rows[mark.fixture_type_id] = mark
    told, currency = [], ""
    for mark in rows.values():
        row = {"type": mark.fixture_type.name}
        for key, stage in (("now", room.stage), ("rough_in", AFTER_ROUGH_IN), ("drywall", AFTER_DRYWALL)):
            priced = price_moves(room, revision, [mark.ident], stage=max(stage, room.stage))
            if not priced.books.rates.entered:
                raise NoWage
            row[key], currency = str(priced.change.price), priced.change.currency
        told.append(row)
    passed = [stage <= room.stage for stage in (AFTER_ROUGH_IN, AFTER_DRYWALL)]
    return {"currency": currency, "rows": told, "passed": passed}


class NoWage(Exception):
    """Nobody entered a wage for the job."""


def kept(link):
    """What the link shows, as it was kept. Raises Altered."""
    if digest_of(link.contents) != link.digest:
        raise Altered(link.pk)
    return json.loads(link.contents)


# Places on the plan and places of marks


def along_across(told, x: int, y: int):
    """Whole mm on the plan as lengths along and across from the zero corner; a point outside goes to the edge."""
    run, zero_x, zero_y = told["turn"]
    x, y = min(max(x, 0), told["wide"]), min(max(y, 0), told["deep"])
    from_x = x if zero_x == Side.LEFT.value else told["wide"] - x
    from_y = y if zero_y == Side.DOOR.value else told["deep"] - y
    pair = (from_x, from_y) if run == Axis.LEFT_RIGHT.value else (from_y, from_x)
    return tuple(mm(one) for one in pair)


def on_plan(told, along, across) -> tuple[int, int]:
    """The other way round, in whole millimeters."""
    run, zero_x, zero_y = told["turn"]
    a, b = (round(one.nm / MILLIMETER) for one in (along, across))
    from_x, from_y = (a, b) if run == Axis.LEFT_RIGHT.value else (b, a)
    x = from_x if zero_x == Side.LEFT.value else told["wide"] - from_x
    y = from_y if zero_y == Side.DOOR.value else told["deep"] - from_y
    return x, y


def nearest(told, x: int, y: int) -> str:
    return min(told["marks"], key=lambda mark: (mark["x"] - x) ** 2 + (mark["y"] - y) ** 2)["id"]
