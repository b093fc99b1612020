"""Changes to a room's layout, each in one transaction."""

import json

from django.db import models, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from layout import frozen
from layout.engine.lengths import LengthError
from layout.engine.marks import Kind
from layout.engine.room import RoomLayout, lay_out
from layout.inputs import inputs_of
from layout.kept import AXES, Numbers, numbers_of, switched_rows, write_rows
from layout.models import Draft, LayoutRevision, RevisionMark
from projects.catalogue.models import FixtureType
from projects.jobs.models import Room
from projects.jobs.queries import room_of
from projects.jobs.sizes import finished_height, height_of, visits_of
from projects.platform.tenancy import save_from

# Called with a revision just issued and its layout, in the same transaction.
also_issued = []
ROWS = ("typed_positions", "pins", "moved_marks", "zones", "switched_lights")  # a draft's, fetched with it


class NoLightType(Exception):
    """The shop's catalog has no light to lay out."""

    def __str__(self):
        return str(_("The catalog has no light. Add a light type first."))


class NothingToPrint(Exception):
    """The layout has no mark to give a number to."""

    def __str__(self):
        return str(_("There is no light inside these limits. Change the numbers until marks appear, then issue."))


def draft_of(room):
    """The room's draft; until one is kept, an unsaved one from the shop's rules and the room's fixture counts.

    Looking at a room stores nothing: change_draft does. Raises NoLightType.
    """
    found = (
        Draft.objects.of(room.shop_id)
        .filter(room=room)
        .select_related("light_type", "speaker_type", "subwoofer_type")
        .prefetch_related(*ROWS)
        .one()
    )
    return found or _new_draft(room)


def _new_draft(room):
    wanted = {count.kind: count.fixture_type for count in room.counts.all()}
    light = wanted.get(Kind.LIGHT) or _usual_light(room)
    shop = room.shop
    return Draft(
        room=room,
        shop=shop,
        end_setback=shop.end_setback,
        row_setback=shop.row_setback,
        spacing_limit=shop.spacing_limit,
        light_type=light,
        speaker_type=wanted.get(Kind.SPEAKER),
        subwoofer_type=wanted.get(Kind.SUBWOOFER),
    )


def _usual_light(room):
    lights = FixtureType.objects.of(room.shop_id).filter(kind=Kind.LIGHT.value, retired=False)
    unit = room.job.tape.unit.value
    key = "light_90_mm" if unit == "mm" else "light_4_new"
    light = lights.filter(key=key).first() or lights.first()
    if light is None:
        raise NoLightType
    return light


def _kept(draft):
    """The draft as stored; one that was not kept yet is stored now."""
    if draft.pk is not None:
        return draft
    # The room's row is the lock: of two people who keep a first draft, the second finds the first one's.
    Room.objects.of(draft.shop_id).select_for_update().get(pk=draft.room_id)
    found = Draft.objects.of(draft.shop_id).filter(room_id=draft.room_id).first()
    if found is None:
        draft.save()
    return found or draft


@transaction.atomic
def change_draft(draft, seen_version, changes, typed, *, pins=None, moved=None, zones=None, switched=None):
    """Save what a person has chosen. typed: {'along': lengths, 'across': lengths}. Raises StaleVersion.

    pins, moved, zones, switched: as in kept.Numbers; None leaves them as they are.
    """
    draft = _kept(draft)
    held, moved_marks = draft.held()
    if switched is not None and tuple(switched) != draft.switched():  # one press puts back what stood here
        before = json.dumps(switched_rows(draft.switched()), separators=(",", ":"))
        changes = {**changes, "switched_before": before}
    rows = Numbers(
        {},
        {axis: typed[axis] for axis in AXES},
        held if pins is None else pins,
        moved_marks if moved is None else moved,
        numbers_of(draft).zones if zones is None else zones,
        switched,
    )
    stored = save_from(draft, seen_version, changes, at=timezone.now())
    write_rows(stored, rows)
    return stored


def change_numbers(draft, seen_version, numbers: Numbers):
    """Save all of a draft's numbers at once. Raises StaleVersion."""
    return change_draft(
        draft,
        seen_version,
        numbers.changes,
        numbers.typed,
        pins=numbers.pins,
        moved=numbers.moved,
        zones=numbers.zones,
        switched=numbers.switched,
    )


@transaction.atomic
def issue_revision(room, *, by=None, note="", at=None, from_site=False):
    """Give the room's draft a number that can be printed.

    Raises what lay_out and inputs_of raise, NoLightType and NothingToPrint.
    """
    # The room's row is the lock: two people issuing at once get two numbers, and what is laid out is read behind it.
    Room.objects.of(room.shop_id).select_for_update().get(pk=room.pk)
    room = room_of(room.shop, room.pk)
    draft = _kept(draft_of(room))
    visits = visits_of(room)
    inputs = inputs_of(room, draft)
    layout = lay_out(inputs)
    marks = layout.arrangement.marks
    if not marks:
        raise NothingToPrint
    last = room.revisions.aggregate(last=models.Max("number"))["last"] or 0
    frozen_inputs, result = frozen.freeze_inputs(inputs), frozen.freeze_result(layout)
    revision = LayoutRevision.objects.create(
        shop_id=room.shop_id,
        room=room,
        number=last + 1,
        inputs=frozen_inputs,
        result=result,
        digest=frozen.digest(frozen_inputs, result),
        note=note,
        from_site=from_site,
        issued_by=by,
        issued_at=at or timezone.now(),
        last_visit=visits[0] if visits else None,
        height=height_of(room),
        finished_height=finished_height(room),
        lights=sum(mark.kind is Kind.LIGHT for mark in marks),
        speakers=sum(mark.kind is Kind.SPEAKER for mark in marks),
    )
    types = {
        Kind.LIGHT: draft.light_type,
        Kind.SPEAKER: draft.speaker_type,
        Kind.SUBWOOFER: draft.subwoofer_type,
    }
    RevisionMark.objects.bulk_create(
        RevisionMark(
            revision=revision,
            ident=mark.id,
            kind=mark.kind.value,
            fixture_type=types[mark.kind],
            along=mark.along,
            across=mark.across,
            row=mark.row,
            zone=mark.zone,
        )
        for mark in marks
    )
    for keep in also_issued:
        keep(revision, layout)
    Room.objects.of(room.shop_id).filter(pk=room.pk).update(updated_at=timezone.now())
    return revision


class NotAsIssued(LengthError):
    """The program no longer works this revision out as it was issued. Nothing may be printed from a guess."""

    def __init__(self):
        super().__init__(
            _("This revision was laid out by earlier rules and no longer comes out the same. Issue a new revision.")
        )


def thawed(revision) -> RoomLayout:
    """The revision's layout, worked out again from its frozen inputs. Raises NotAsIssued."""
    layout = lay_out(frozen.thaw_inputs(revision.inputs))
    if frozen.freeze_result(layout) != revision.result:
        raise NotAsIssued
    return layout


@transaction.atomic
def approve_revision(revision, *, by=None, name="", at=None):
    """The first approval stands. by: of the shop. name: a client's, kept beside the shop's own. at: else now."""
    stored = LayoutRevision.objects.of(revision.shop_id).filter(pk=revision.pk)
    stored.filter(approved_at=None).update(
        approved_by=by, approved_at=at or timezone.now(), version=models.F("version") + 1
    )
    if name:
        stored.filter(approved_name="").update(approved_name=name, version=models.F("version") + 1)
