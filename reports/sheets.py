"""From a revision and its room to what the mark-out card says. Words and values; no position is worked out here."""

from django.conf import settings
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from layout.drawing.values import Datum
from layout.engine.lengths import Distance, Tape
from layout.engine.marks import Axis, Kind, Side
from layout.engine.room import RoomLayout
from layout.engine.rows.arrange import say
from layout.engine.square import largest_three_four_five
from layout.plans import insets, natural_datum, plan_of, sides_of, wall_from_zero
from layout.services import thawed
from projects.catalogue.tables import ceiling_systems
from projects.jobs.models import SurveyKind
from projects.jobs.sizes import (
    Squared,
    finished_size,
    framing_size,
    squared,
    visits_of,
)
from reports.card_ceiling import beside, border_lines, ceiling_notes, may_move, part_lines, said_of_way
from reports.card_overhead import framing_lines, not_cut, overhead_notes, stops_a_cut, wont_fit
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

FIRST_FINISHED_STAGE = 8  # from drywall on, the tape lies on finished faces
PULL_AT = {Datum.FRAMING: PullAt.TOP_PLATE, Datum.FINISHED: PullAt.FINISHED_FACE, Datum.EDGE: PullAt.FINISHED_FACE}


def datums_of(layout: RoomLayout) -> tuple[Datum, ...]:
    """The faces this room's card can speak from."""
    framed = all(result.span is not None for result in (layout.along, layout.across))
    gaps = natural_datum(layout) is Datum.EDGE
    return (*((Datum.FRAMING,) if framed else ()), Datum.FINISHED, *((Datum.EDGE,) if gaps else ()))


def datum_for_stage(layout: RoomLayout, stage: int) -> Datum:
    """Framing at rough-in, the finished face after drywall."""
    allowed = datums_of(layout)
    if stage < FIRST_FINISHED_STAGE and Datum.FRAMING in allowed:
        return Datum.FRAMING
    return Datum.FINISHED


def card_sheet(revision, room, datum: Datum | None = None, *, on=None, layout: RoomLayout | None = None) -> CardSheet:
    """room: from jobs.queries.room_of; revision: with its marks' types. The datum not given is the stage's own.

    layout: the revision's, its marks where they go or are by now; none: as it was issued.
    """
    layout, tape = layout or thawed(revision), room.job.tape
    datum = datum if datum in datums_of(layout) else datum_for_stage(layout, room.stage)
    plan = plan_of(layout, room, tape, datum=datum, title=_("Ceiling plan of %s") % room.name)
    x_row, y_row = (
        number_row(plan, result.axis, beside(layout, name, datum, tape), said_of_way(layout, name))
        for name, result in (("along", layout.along), ("across", layout.across))
    )
    return CardSheet(
        job_number=room.job.number,
        job_name=room.job.name,
        room=room.name,
        level=room.level,
        on=on or timezone.localdate(),
        revision=revision.number,
        hash=revision.short_hash,
        datum=datum,
        pull_at=PULL_AT[datum],
        zero=zero_in_words(room, layout),
        check=check_first(room, layout, datum, tape, revision.last_visit_id),
        along=x_row,
        across=y_row,
        plan=plan,
        marks=mark_rows(plan),
        ask=_who_to_ask(revision),
        check_url=check_url(revision),
        measured=measured(room, revision.last_visit_id),
        framing_checked=layout.inputs.overhead.looked,
        cutouts=tuple(cutouts(revision, layout, tape)),
        zones=tuple(_zones(layout)),
        height="; ".join((_height(revision, tape), *part_lines(layout, revision.finished_height, tape))),
        remainder=_remainder(layout, room, tape),
        cautions=tuple(_(caution) for caution in ceiling_systems()[room.ceiling_system].cautions[:2]),
        center_lines=tuple(_center_lines(layout, room, datum, tape)),
        findings=(
            *(say(finding, tape) for finding in layout.arrangement.findings if not stops_a_cut(finding)),
            *_assumed(layout, room, tape),
            *_out_of_square(room, revision.last_visit_id),
        ),
        not_cut=not_cut(layout),
        wont_fit=wont_fit(layout, tape),
        may_move=may_move(room, tape),
        notes=(
            *overhead_notes(layout, room, tape, covered=room.stage >= FIRST_FINISHED_STAGE),
            *ceiling_notes(layout, room, revision, datum, tape),
        ),
    )


def check_url(revision):
    """Where a phone finds out whether a card is still right; None when no host is set."""
    path = reverse("check_card", args=[revision.token])
    return settings.PUBLIC_URL + path if settings.PUBLIC_URL else None


def zero_in_words(room, layout):
    return zero_said(room, layout.inputs.orientation)


def zero_said(room, turn):
    """Where the zero corner is, by the room's own names of its walls and door. turn: an Orientation."""
    hand = _("left") if turn.zero_x is Side.LEFT else _("right")
    door = room.door_name or _("door")
    return _("%(wall)s, %(hand)s corner; back to the %(door)s, facing in") % {
        "wall": room.wall_name(turn.zero_y),
        "hand": hand,
        "door": door,
    }


def measured(room, until):
    """Which set of readings the card stands on. until: the last set its revision knew."""
    said = []
    for axis in Axis:
        size = finished_size(room, axis, until) or framing_size(room, axis, until)
        if size and size.said not in said:
            said.append(size.said)
    return "; ".join(said)


def check_first(room, layout, datum, tape, until):
    walls = {result.axis: wall_from_zero(result, datum) for result in (layout.along, layout.across)}
    lines = [
        CheckLine(
            _("%(start)s to %(end)s") % {"start": room.wall_name(axis.sides[0]), "end": room.wall_name(axis.sides[1])},
            tape.show(walls[axis], mark=False),
        )
        for axis in Axis
    ]
    lines += _diagonals(room, datum, tape, until) or _three_four_five(walls, tape)
    lines += border_lines(layout, room, tape)
    finished = datum is not Datum.FRAMING
    allowed = _allowed(tape, finished)
    return CheckFirst(
        tuple(lines),
        _("%s either way") % allowed,
        _("Tape it again. Still off: enter it and print a new card. No signal: pull from the center lines below."),
        squared=squared(room, until) is not Squared.NOT_TAPED,
        framing=tuple(framing_lines(layout, room, datum, tape)),
        if_framing_differs=_("Off by more than %s: stop, and use Found on site.") % _allowed(tape, finished=False),
    )


def _allowed(tape, finished):
    """1/4 in at rough-in, 1/8 in on finished faces. Common practice, no source."""
    if tape.unit.value == "mm":
        return "3 mm" if finished else "6 mm"
    return '1/8"' if finished else '1/4"'


def _diagonals(room, datum, tape, until):
    """As taped on the face the card speaks from; on another face they would be other numbers."""
    kind = SurveyKind.FRAMING if datum is Datum.FRAMING else SurveyKind.FINISHED
    if datum is Datum.FINISHED and any(room.gap(side) for side in Side):
        return []
    for visit in visits_of(room, until):
        taken = {r.subject: r.value for r in visit.readings.all()}
        if visit.kind == kind and {"d1", "d2"} <= taken.keys():
            return [
                CheckLine(_("diagonal, door-left to far-right"), tape.show(taken["d1"], mark=False)),
                CheckLine(_("diagonal, door-right to far-left"), tape.show(taken["d2"], mark=False)),
            ]
    return []


def _three_four_five(walls, tape):
    found = largest_three_four_five(walls[Axis.LEFT_RIGHT], walls[Axis.DOOR_FAR], tape.unit)
    if found is None:
        return []
    three, four, five = (tape.show(part) for part in found)
    return [CheckLine(_("zero corner: %(three)s and %(four)s, then across") % {"three": three, "four": four}, five)]


def _who_to_ask(revision):
    asked = revision.approved_by or revision.issued_by
    return asked.user.name if asked else ""


def cutouts(revision, layout, tape):
    """The hole of each type as it was frozen, and whether anyone has verified it."""
    types = {mark.kind: mark.fixture_type for mark in revision.marks.all()}
    fittings = {
        Kind.LIGHT: layout.inputs.light,
        Kind.SPEAKER: layout.inputs.speaker,
        Kind.SUBWOOFER: layout.inputs.subwoofer,
    }
    for kind, fitting in fittings.items():
        if kind in types:
            record = types[kind]
            still = record.verified and record.cutout == fitting.cutout
            yield Cutout(fitting.name, kind, tape.show(fitting.cutout), record.cutout_verified_by if still else None)


def _zones(layout):
    counted: dict[str, int] = {}
    for mark in layout.arrangement.marks:
        if mark.kind is Kind.LIGHT and mark.zone:
            counted[mark.zone] = counted.get(mark.zone, 0) + 1
    for letter, lights in sorted(counted.items()):
        yield Zone(letter, ngettext("%s light", "%s lights", lights) % lights)


def _out_of_square(room, until):
    if squared(room, until) is Squared.OUT:
        yield _(
            "Taped out of square: keep the rows parallel to the zero wall, and look at the far corners before you mark."
        )


def _height(revision, tape):
    if revision.height is None:
        return _("not taped")
    if revision.finished_height is None:
        return _("framing %s; the build-up is thicker: check it") % tape.show(revision.height)
    return _("framing %(framing)s, finished %(finished)s") % {
        "framing": tape.show(revision.height),
        "finished": tape.show(revision.finished_height),
    }


def _remainder(layout, room, tape):
    said = []
    for result in (layout.along, layout.across):
        if result.remainder:
            _start, end = sides_of(result, layout.inputs.orientation)
            said.append(_("Less than a tape mark is left over at the %s.") % room.wall_name(end))
    return " ".join(said)


def _center_lines(layout, room, datum: Datum, tape: Tape):
    """The way that needs no wall length: from the middle outward, both ways."""
    for result, positions in (
        (layout.along, _positions(layout, "along")),
        (layout.across, _positions(layout, "across")),
    ):
        center = result.laid_out / 2
        outward = sorted({abs(at - center) for at in positions if at != center}, key=lambda d: d.nm)
        walls = {"start": room.wall_name(result.axis.sides[0]), "end": room.wall_name(result.axis.sides[1])}
        if not _mirrors(positions, center):
            continue
        steps = ", ".join(tape.show(by, mark=False) for by in outward)
        on_it = _("on it, then ") if center in positions else ""
        moved = _off_the_middle(result, layout, room, datum, tape)
        yield _("Center between %(start)s and %(end)s: ") % walls + moved + on_it + _("%s both ways") % steps


def _off_the_middle(result, layout, room, datum, tape):
    """Where more stands on one wall than on the other, the ceiling's middle is not the middle of the card's face."""
    start, end = sides_of(result, layout.inputs.orientation)
    at_start, at_end = insets(result, datum)
    shift = (at_start - at_end) / 2
    if not tape.rounded(shift):
        return ""
    toward = room.wall_name(end if shift.nm > 0 else start)
    return _("move it %(by)s toward the %(wall)s, then ") % {"by": tape.show(abs(shift)), "wall": toward}


def _positions(layout, name) -> set[Distance]:
    return {getattr(mark, name) for mark in layout.arrangement.marks}


def _mirrors(positions, center):
    return bool(positions) and {center * 2 - at for at in positions} == positions


def _assumed(layout, room, tape):
    for result in (layout.along, layout.across):
        if result.datums.assumed and result.datums.difference:
            yield _(
                "Taped ceiling and the sum differ by %(by)s; nobody said at which wall. Framing numbers split it."
            ) % {"by": tape.show(abs(result.datums.difference))}
