"""What one visit's readings say about each other, in the trade's words. The engine judges; this only speaks."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from layout.engine import square, survey
from layout.engine.lengths import LengthError, Style, Tape, feet, inches
from projects.jobs.models import WALLS, MeasurementSet, Subject
from projects.jobs.sizes import room_readings

SUBJECT_WORDS = {subject.value: subject.label for subject in Subject}
# Beyond these a reading is kept but asked about. Common practice, no source.
USUAL_WALL = (feet(2), feet(200))
USUAL_HEIGHT = (inches(78), feet(30))
SETS_AGREE = inches("1/2")


@dataclass(frozen=True, slots=True)
class Note:
    """tone: good, warn, or quiet where there is nothing to compare yet."""

    tone: str
    words: str


@dataclass(frozen=True, slots=True)
class Said:
    """A visit for the page: the set, its readings, and what they make of each other."""

    visit: MeasurementSet
    readings: tuple[tuple[str, str], ...]
    notes: tuple[Note, ...]
    candidates: tuple[str, ...] = ()


def what_the_tape_says(visit: MeasurementSet, tape: Tape, earlier: MeasurementSet | None = None) -> Said:
    """earlier: the set of the same kind before this one, for comparing visits."""
    rows = list(visit.readings.all())
    listed = tuple((str(SUBJECT_WORDS[r.subject]), tape.show(r.value) + _at_height(r, tape)) for r in rows)
    room = room_readings(visit)
    check = survey.tape_check(room, tape.step, survey.Instrument(visit.instrument), Style(tape.style))
    notes = (
        *_tape_check(check, tape),
        *_diagonals(room, check, tape),
        *_three_four_five(visit, room, tape),
        *_opposite(room, tape),
        *_unusual(rows, tape),
        *_against(room, earlier, tape),
    )
    return Said(visit, listed, notes, tuple(_candidate(c, tape) for c in check.candidates))


def all_visits(room, tape: Tape) -> list[Said]:
    """Newest first, each compared with the one of its kind before it."""
    before: dict[str, MeasurementSet] = {}
    said = []
    for visit in room.measurement_sets.all():
        said.append(what_the_tape_says(visit, tape, before.get(visit.kind)))
        before[visit.kind] = visit
    return said[::-1]


def _tape_check(check, tape):
    if check.status is survey.TapeCheckStatus.NOT_ENOUGH:
        missing = ", ".join(str(SUBJECT_WORDS[subject.value]) for subject in check.missing)
        yield Note("quiet", _("Tape check: waits for %s.") % missing)
    elif check.status is survey.TapeCheckStatus.OK:
        words = _("Tape check: four walls and both diagonals agree; %(miss)s off, and reading explains %(allowed)s.")
        yield Note("good", words % _shown(check, tape))
    elif check.miss is None:
        yield Note("warn", _("One of these readings is off: walls of these sizes can't meet. Tape them again."))
    else:
        words = _(
            "One of these readings is off: the second diagonal misses by %(miss)s, and reading explains %(allowed)s."
        )
        yield Note("warn", words % _shown(check, tape))


def _diagonals(room, check, tape):
    """Square or not. With six readings that don't agree, nothing can be said of square."""
    wide, deep = room.door or room.far, room.left or room.right
    if not (wide and deep and room.d1 and room.d2) or check.status is survey.TapeCheckStatus.ONE_OF_THESE:
        return
    found = square.square_check(wide, deep, room.d1, room.d2)
    if found.squareness is square.Squareness.SQUARE:
        yield Note("good", _("Square: the diagonals differ by %s.") % tape.show(found.differ))
    elif found.squareness is square.Squareness.OUT_OF_SQUARE:
        words = _("Out of square: the diagonals differ by %(differ)s; one long wall has slid %(drift)s past the other.")
        yield Note("warn", words % {"differ": tape.show(found.differ), "drift": tape.show(found.drift)})
    else:
        words = _("Sizes and diagonals do not belong together: a room of these sizes has diagonals of %s. Tape again.")
        yield Note("warn", words % tape.show(found.expected))


def _three_four_five(visit, room, tape):
    legs = {r.subject: r.value for r in visit.readings.all() if r.subject.startswith("leg")}
    if len(legs) < 3:
        return
    over = room.left or room.right or legs["leg_b"]
    try:
        corner = square.three_four_five(legs["leg_a"], legs["leg_b"], legs["leg_c"], over)
    except LengthError as refused:
        yield Note("warn", str(refused))
        return
    if corner.square:
        yield Note("good", _("3-4-5: the corner is square within %s.") % tape.show(corner.allowed))
    else:
        opens = _("open") if corner.drift.nm > 0 else _("closed")
        words = _("3-4-5: the corner is %(opens)s; the wall is %(drift)s out by its far end.")
        yield Note("warn", words % {"opens": opens, "drift": tape.show(abs(corner.drift))})


def _opposite(room, tape):
    for one, other, names in (
        (room.door, room.far, _("door wall and far wall")),
        (room.left, room.right, _("left wall and right wall")),
    ):
        if one is None or other is None:
            continue
        verdict, by = square.opposite_walls(one, other), tape.show(abs(one - other))
        if verdict is square.OppositeWalls.TAPER:
            words = _("%(walls)s differ by %(by)s: keep the rows parallel to the zero wall and let the rest taper.")
            yield Note("warn", words % {"walls": names, "by": by})
        elif verdict is square.OppositeWalls.SHOW_OWNER:
            words = _("%(walls)s differ by %(by)s: that will be seen. Show it before laying out.")
            yield Note("warn", words % {"walls": names, "by": by})


def _unusual(rows, tape):
    for reading in rows:
        low, high = USUAL_HEIGHT if reading.subject == Subject.HEIGHT else USUAL_WALL
        if reading.subject in (*WALLS, Subject.HEIGHT) and not low <= reading.value <= high:
            words = _("%(what)s: %(value)s is unusual. Kept; look at the unit.")
            yield Note("warn", words % {"what": SUBJECT_WORDS[reading.subject], "value": tape.show(reading.value)})


def _against(room, earlier, tape):
    if earlier is None:
        return
    before = room_readings(earlier)
    for subject in survey.Subject:
        now, then = room.of(subject), before.of(subject)
        if now is not None and then is not None and abs(now - then) > SETS_AGREE:
            words = _("%(what)s is %(by)s off the visit before, which read %(then)s.")
            shown = {"by": tape.show(abs(now - then)), "then": tape.show(then)}
            yield Note("warn", words % {"what": SUBJECT_WORDS[subject.value], **shown})


def _candidate(candidate, tape):
    return _("%(subject)s: %(would_be)s if it was off by %(slip)s") % {
        "subject": SUBJECT_WORDS[candidate.subject.value],
        "would_be": tape.show(candidate.would_be),
        "slip": _slip_words()[candidate.slip],
    }


def _shown(check, tape):
    return {"miss": tape.show(abs(check.miss)), "allowed": tape.show(check.allowed)}


def _at_height(reading, tape):
    if reading.taken_at_height is None:
        return ""
    return _(" at %(height)s high") % {"height": tape.show(reading.taken_at_height)}


def _slip_words():
    return {
        survey.Slip.ONE_INCH: _("one inch"),
        survey.Slip.ONE_FOOT: _("one foot"),
        survey.Slip.ONE_CENTIMETER: _("one centimeter"),
        survey.Slip.TEN_CENTIMETERS: _("ten centimeters"),
        survey.Slip.TAPE_CASE: _("the tape's case"),
        survey.Slip.LASER_BODY: _("the laser's length"),
        survey.Slip.SWAPPED_DIGITS: _("two digits swapped"),
    }
