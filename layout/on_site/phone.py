"""What the on-site page hands the phone, so that it can answer by itself with no signal. Knows no request."""

from dataclasses import asdict

from django.utils.translation import gettext as _

from layout.engine.lengths import ZERO, LengthError, Unit
from layout.engine.marks import Axis, Datum
from layout.engine.overhead.stand import Direction
from layout.engine.ways.on_site import PARTS, Joists, Within, parts, site_of

PARTS_PER = {Unit.INCH: 16 * PARTS, Unit.MM: PARTS}  # of an inch, of a millimeter


def phone_data(layout, entry, draft, clear):
    """None where there is no run of joists yet, or a size is finer than a phone takes.

    faces: where a number read from a wall's face lies, from the zero corner: base + sign x number.
    """
    if not entry.joists or not layout.arrangement.columns:
        return None
    run, unit = entry.joists[0], layout.inputs.unit
    axis = Axis(run.runs).other
    along = layout.along.axis is axis
    ticks = [int(most.nm / unit.tick.nm) for most in (draft.columns_may_move, draft.rows_may_move)]
    own, other = ticks if along else ticks[::-1]
    try:
        joists = Joists(parts(run.spacing, unit), parts(run.width, unit), 0)
        direction = Direction.ALONG if along else Direction.ACROSS
        site = site_of(layout, direction, clear, Within(own, own, other), joists, None)
        faces = _faces(layout, layout.along if along else layout.across)
    except LengthError:
        return None
    return {
        "site": asdict(site),
        "faces": faces,
        "unit": unit.value,
        "parts": PARTS_PER[unit],
        "half": {"center": 0, "near": joists.width / 2, "far": -joists.width / 2},
        "line": _("column") if along else _("row"),
        "words": {
            "clear": _("No signal. The phone's own answer: every mark stays where it is."),
            "pair": _("No signal. The phone's own answer, to be checked: pair {n} moves {by} {way}."),
            "equal": _("Or both ends {by} {way}, the gaps alike."),
            "slide": _("Or slide all lines across by {by}."),
            "in": _("toward the middle"),
            "out": _("toward the walls"),
            "none": _("No signal, and the phone finds no move within what may move. Do not mark yet."),
            "unread": _("No signal: the phone reads plain numbers only, like 11 1/2 or 290. Type it so."),
        },
    }


def _faces(layout, result):
    turn, unit, datums = layout.inputs.orientation, layout.inputs.unit, result.datums
    start, end = turn.zero_side(result.axis), turn.end_side(result.axis)
    behind = {
        start: {Datum.EDGE: ZERO, Datum.FINISHED: datums.start_gap, Datum.FRAMING: datums.start_offset},
        end: {Datum.EDGE: ZERO, Datum.FINISHED: datums.end_gap, Datum.FRAMING: datums.end_offset},
    }
    told = {}
    for side, faces in behind.items():
        for datum, face in faces.items():
            if face is not None:
                base, sign = (-face, 1) if side is start else (datums.ceiling + face, -1)
                told[f"{side.value} {datum.value}"] = {"base": parts(base, unit), "sign": sign}
    return told
