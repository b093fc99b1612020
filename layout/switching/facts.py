"""What is known of a room for suggesting switches: lights held over a task, what stands at a wall, where a screen is.

Reads what was taken on the room before; stores nothing.
"""

from layout.engine.marks import Axis, Kind, Side
from layout.engine.pins import Line
from layout.engine.room import RoomLayout
from layout.engine.suggested_zones import RoomFacts
from layout.engine.switching import places
from layout.engine.ways.task_rules import ACCENT, GRAZE, SCREEN, WALL_WASH
from layout.kept import from_json

TASK = "task_"  # how a held task's kind begins, as layout.suit.tasks writes it
AT_A_WALL = {rule.key for rule in (ACCENT, WALL_WASH, GRAZE)}
MOST_LOOKED_AT = 40  # of what was taken, the newest first


def facts_of(room, draft, layout: RoomLayout, screen: Side | None, **limits) -> RoomFacts:
    """screen: the wall it hangs on; None: as was held for one, or none. limits: most_zones, most_lights."""
    held = list(_lines_held(room, draft))
    tasks = [pin for key, pin in held if key not in {*AT_A_WALL, SCREEN.key}]
    accents = [pin for key, pin in held if key in AT_A_WALL]
    at_screen = next((pin for key, pin in held if key == SCREEN.key), None)
    return RoomFacts(
        tasks=_lights_on(layout, tasks),
        accents=_lights_on(layout, accents),
        screen=screen_line(layout, screen) if screen else _end_of(layout, at_screen),
        **limits,
    )


def screen_line(layout: RoomLayout, side: Side) -> tuple[Line, bool]:
    """The lines along a wall, and whether the wall is at their zero end."""
    across = Axis.LEFT_RIGHT if side in (Side.LEFT, Side.RIGHT) else Axis.DOOR_FAR
    turn = layout.inputs.orientation
    line = Line.ROW if across is turn.rows_run.other else Line.COLUMN
    return line, turn.zero_side(across) is side


def _lines_held(room, draft):
    """(task, pin) of each line that was held for a task and still is."""
    if draft.pk is None:
        return
    ways = list(room.ways_taken.all()[:MOST_LOOKED_AT])
    still, after = set(draft.held()[0]), set(draft.held()[0])
    for way in ways:
        before = set(from_json(way.before).pins) if way.before else set()
        if way.kind.startswith(TASK):
            key = next((rule for rule in (*AT_A_WALL, SCREEN.key) if way.kind.startswith(f"{TASK}{rule}")), "task")
            for pin in (after - before) & still:
                yield key, pin
        after = before


def _lights_on(layout, pins):
    """The places of the lights on these lines."""
    rows = {pin.number for pin in pins if pin.line is Line.ROW}
    columns = layout.arrangement.columns
    along = {columns[pin.number - 1] for pin in pins if pin.line is Line.COLUMN and pin.number <= len(columns)}
    return frozenset(
        at
        for at, mark in places(layout.arrangement.marks).items()
        if mark.kind is Kind.LIGHT
        and (mark.row in rows or (mark.moved_from[0] if mark.moved_from else mark.along) in along)
    )


def _end_of(layout, pin):
    """The line nearest a screen as it was held, at one end or the other."""
    if pin is None:
        return None
    lines = layout.arrangement.rows if pin.line is Line.ROW else layout.arrangement.columns
    return (pin.line, pin.number == 1) if pin.number in (1, len(lines)) else None
