"""What changed between the revision somebody holds and the newest one: for a screen behind a QR, and for one sheet.

Numbers are compared as printed, on the face both cards speak from. No prices, no names of people.
"""

from dataclasses import dataclass, replace

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from layout.as_built.words import off_in_words
from layout.drawing.layers import Ghost, Place
from layout.drawing.plan import plan_svg
from layout.drawing.values import Datum
from layout.drawing.words import DATUM
from layout.engine.marks import Kind
from layout.plans import insets, plan_of, wall_from_zero
from layout.services import NotAsIssued, thawed
from projects.jobs.queries import room_of
from reports.contents import head_of, room_ref
from reports.documents.qr import qr_svg
from reports.papers import Document
from reports.queries import revision_with_marks
from reports.sheets import check_url, datum_for_stage, datums_of, zero_in_words


@dataclass(frozen=True, slots=True)
class Change:
    """One mark that isn't where the old card has it. was, now: (along, across) as printed; () where there is none."""

    ident: str
    what: str
    was: tuple[str, ...]
    now: tuple[str, ...]
    by: str


@dataclass(frozen=True, slots=True)
class Since:
    """Everything on the old card that is wrong now."""

    face: str
    changes: tuple[Change, ...]
    other: tuple[str, ...]
    svg: SafeString
    zero: str

    @property
    def nothing(self):
        return not self.changes and not self.other


def changed_since(old, new, room) -> Since:
    """old, new: two revisions of the room, with their marks' types. Raises NotAsIssued."""
    before, after = thawed(old), thawed(new)
    tape = room.job.tape
    datum = datum_for_stage(after, room.stage)
    if datum not in datums_of(before):
        datum = Datum.FINISHED
    turned = before.inputs.orientation != after.inputs.orientation
    return Since(
        str(DATUM[datum]),
        tuple(_changes(_printed(before, old, tape, datum), _printed(after, new, tape, datum), tape)),
        tuple(_other(before, after, room, tape, datum, turned)),
        _drawn(before, after, room, tape, datum, turned),
        zero_in_words(room, after),
    )


def _printed(layout, revision, tape, datum):
    """Each mark's numbers as its card prints them, exact beside them."""
    inset = [insets(result, datum)[0] for result in (layout.along, layout.across)]
    names = {mark.ident: mark.fixture_type.name for mark in revision.marks.all()}
    found = {}
    for mark in layout.arrangement.marks:
        at = [tape.rounded(place + by) for place, by in zip((mark.along, mark.across), inset, strict=True)]
        found[mark.id] = (mark.kind, names.get(mark.id, ""), at)
    return found


def _changes(before, after, tape):
    for ident in [*after, *(one for one in before if one not in after)]:
        was, now = before.get(ident), after.get(ident)
        if was and now and was == now:
            continue
        shown = [tuple(tape.show(at, mark=False) for at in one[2]) if one else () for one in (was, now)]
        by = _off(was[2], now[2], tape) if was and now else _("new") if now else _("gone: cut nothing there")
        yield Change(ident, (now or was)[1], *shown, by or _("another fixture"))


def _off(was, now, tape):
    return off_in_words([at - before for at, before in zip(now, was, strict=True)], tape)


def _other(before, after, room, tape, datum, turned):
    if turned:
        yield _("The zero corner or the rows were turned: every number is new. Mark nothing from the old card.")
    for result, other in ((before.along, after.along), (before.across, after.across)):
        if turned:
            break
        walls = [tape.show(wall_from_zero(one, datum)) for one in (result, other)]
        if walls[0] != walls[1]:
            start, end = (room.wall_name(side) for side in result.axis.sides)
            told = {"start": start, "end": end, "was": walls[0], "now": walls[1]}
            yield _("%(start)s to %(end)s: was %(was)s, is %(now)s.") % told
    names = [{mark.id for mark in layout.arrangement.marks} for layout in (before, after)]
    if names[0] != names[1] and not turned:
        yield _("There are other marks now: a name may stand for another hole. Write every name on the floor anew.")
    for kind in Kind:
        holes = [layout.inputs.fittings.get(kind) for layout in (before, after)]
        if all(holes) and holes[0].cutout != holes[1].cutout:
            told = {"name": holes[1].name, "was": tape.show(holes[0].cutout), "now": tape.show(holes[1].cutout)}
            yield _("Hole of %(name)s: was %(was)s, is %(now)s.") % told
    if before.standing.members != after.standing.members:
        yield _("The framing is entered otherwise: check it again before you fasten.")


def _drawn(before, after, room, tape, datum, turned):
    """The newest plan; a moved mark's old place open and struck with an arrow, one that is gone dashed."""
    was = {mark.id: mark for mark in before.arrangement.marks}
    layout, gone = after, ()
    if not turned:
        places = {mark.id: (mark.along, mark.across) for mark in after.arrangement.marks}
        # Renumbered, the same name is another hole: an arrow from one to the other would say nothing.
        alike = was.keys() == places.keys()
        old = {one: (mark.along, mark.across) for one, mark in was.items()} if alike else {}
        marks = tuple(
            replace(mark, moved_from=old[mark.id] if old.get(mark.id, places[mark.id]) != places[mark.id] else None)
            for mark in after.arrangement.marks
        )
        layout = replace(after, arrangement=replace(after.arrangement, marks=marks))
        cutouts = before.inputs.fittings
        gone = tuple(
            Ghost(mark.kind, Place(mark.along, mark.across), cutouts[mark.kind].cutout)
            for mark in was.values()
            if not alike
        )
    plan = plan_of(layout, room, tape, datum=datum, title=_("What changed in %s") % room.name, key="since")
    plan = replace(plan, layers=replace(plan.layers, ghosts=gone))
    return mark_safe(plan_svg(plan, height_mm=95, interactive=False))


def since_card(revision, newest) -> Since | None:
    """What changed since a card of this revision; None where one of the two no longer comes out as issued."""
    room = room_of(revision.room.shop, revision.room_id)
    try:
        return changed_since(*(revision_with_marks(room, number) for number in (revision.number, newest)), room)
    except NotAsIssued:
        return None


def since_paper(old, new, room, *, on) -> Document:
    """One sheet to hang beside the new card, or to correct the old one's marks by."""
    since = changed_since(old, new, room)
    head = head_of(room, on=on, ref=room_ref(room, new))
    url = check_url(new)
    body = render_to_string(
        "marking/since.html",
        {
            "head": head,
            "title": _("What changed"),
            "old": old,
            "new": new,
            "since": since,
            "qr": qr_svg(url, _("Is this still the latest?")) if url else "",
        },
    )
    return Document(_("What changed since revision %s") % old.number, body, head, f"changed-since-{old.number}")
