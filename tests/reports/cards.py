"""A room's card made from values, for the tests of what is printed."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

from layout.drawing import Datum, Names, PerSide, PlanDrawing, PlanMark
from layout.engine.lengths import Style, Tape, inches, nanometers
from layout.engine.marks import Axis, Kind, Mark, Orientation, Side
from reports.documents.sheet import (
    CardSheet,
    CheckFirst,
    CheckLine,
    Cutout,
    PullAt,
    Zone,
    mark_rows,
    number_row,
)

EIGHTHS = Tape(Style.INCHES, 8)
FEET = Tape(Style.FEET_INCHES, 8)


def den(columns=4, rows=2, speakers=2, *, tape=EIGHTHS, datum=Datum.FRAMING, gap=None):
    """206 3/8 by 168 in of framing; 1 1/2 and 2 7/8 in of build-up at its ends; outer lights 20 in off the walls."""
    turn = Orientation(Axis.LEFT_RIGHT)
    plan = PlanDrawing(
        turn, inches("206 3/8"), inches(168), Names("hall wall", "window wall", "fireplace wall", "closet wall"), tape,
        "Den", datum=datum, build_up=PerSide(left=inches("1 1/2"), right=inches("2 7/8")), gap=gap or PerSide(),
        door_name="hall door", north=Side.FAR,
    )  # fmt: skip

    def stops(count, length):
        between = (length - inches(40)) * Fraction(1, max(count - 1, 1))
        return [nanometers(int((inches(20) + between * n).nm)) for n in range(count)]

    across, along = stops(rows, plan.ceiling_deep), stops(columns, plan.ceiling_wide)
    lights = [
        PlanMark(Mark(f"A{1 + row * columns + column}", Kind.LIGHT, x, y, row + 1), inches("4 3/8"))
        for row, y in enumerate(across)
        for column, x in enumerate(along)
    ]
    half_way = nanometers(int(((along[0] + along[1]) / 2).nm))
    pair = [
        PlanMark(Mark(f"SP{number + 1}", Kind.SPEAKER, half_way, across[number], 1), inches("8 1/8"))
        for number in range(speakers)
    ]
    return replace(plan, marks=(*lights, *pair))


def card(plan=None, **more):
    plan = plan or den()
    rows = plan.orientation.rows_run
    told = {
        "job_number": "24-118",
        "job_name": "Alder Street house",
        "room": "Den",
        "level": "Main floor",
        "on": date(2026, 5, 4),
        "revision": 3,
        "hash": "7c1e04ab",
        "datum": plan.datum,
        "pull_at": PullAt.BOTTOM_PLATE,
        "zero": "window wall, left corner; back to the hall door, facing in",
        "check": CheckFirst(
            (CheckLine("length", "206 3/8"), CheckLine("width", "168"), CheckLine("diagonals", "266 1/8")),
            "1/4",
            "Measure again, enter it and reprint; or use the center-line way, which needs no wall length.",
        ),
        "along": number_row(plan, rows),
        "across": number_row(plan, rows.other),
        "plan": plan,
        "marks": mark_rows(plan),
        "ask": "R. at the office, 8 to 4",
        "check_url": "https://book.example.com/c/7c1e04ab",
        "cutouts": (
            Cutout("4 in light", Kind.LIGHT, "4 3/8", "R., 2 May"),
            Cutout("6 1/2 in speaker", Kind.SPEAKER, "8 1/8"),
        ),
        "zones": (Zone("A", "room lights, dimmed at the hall door"),),
        "height": "96 1/2",
        "remainder": "The build-ups leave 1/16 over; it stays at the closet wall.",
        "cautions": ("Gas line in the second bay.",),
        "center_lines": ("half of the length either way; both ways meet",),
        "findings": ("Joist 3 is 1 1/4 in from A2: look before you cut.",),
    }
    return CardSheet(**(told | more))
