"""All rooms of a job laid out anew as long work: each by itself, so that what is done stays done.

Begun again, a room that has the numbers already is left as it is, and one that was issued is not behind any more.
"""

from django.db import transaction
from django.urls import reverse
from django.utils.translation import gettext as _

from layout.engine.lengths import LengthError, nanometers
from layout.engine.room import lay_out
from layout.engine.rows.arrange import say
from layout.inputs import NotLaidOutYet, inputs_of
from layout.models import LayoutRevision
from layout.queries import is_behind
from layout.services import NoLightType, NothingToPrint, change_draft, draft_of, issue_revision
from projects.catalogue.tables import stage_number
from projects.jobs.models import Job, Room
from projects.jobs.queries import room_of
from projects.work.kinds import kind
from projects.work.running import WorkFailed

KIND = "lay out job"
NUMBERS = ("end_setback", "row_setback", "spacing_limit")
MOST_SAID = 2  # of what a layout breaks; the room's page has all
ROUGH_IN = stage_number("rough_in")  # from this stage on holes are where they are
MOST_TOLD = 40


class Breaks(Exception):
    """The layout breaks a rule: the message says which. The room keeps what it had."""


@kind(KIND, may="lay out", where=lambda work: reverse("lay_out_job", args=[work.asked_for["job_id"]]))
def lay_out_job(work, progress):
    """asked_for: job_id; numbers, nanometers by the draft's columns; issue, whether to issue what is behind."""
    job = Job.objects.of(work.shop).filter(pk=work.asked_for["job_id"]).first()
    if job is None:
        raise WorkFailed(_("The job is in the trash. Put it back, then resume."))
    before, rooms, wrong = progress.done, rooms_to_lay_out(job), []
    for done, pk in enumerate(rooms, 1):
        if told := _one(work, pk):
            wrong.append(told)
        progress.at(max(done, min(before, len(rooms))), len(rooms))
    issued = LayoutRevision.objects.of(work.shop).filter(
        room__in=rooms, issued_by=work.asked_by, issued_at__gte=work.created_at, note=_note()
    )
    return {"rooms": len(rooms), "issued": issued.count(), "wrong": len(wrong), "told": wrong[:MOST_TOLD]}


def rooms_to_lay_out(job):
    """The rooms whose holes are not cut yet, by their order in the job."""
    standing = job.rooms.filter(cancelled=False, stage__lt=ROUGH_IN)
    return list(standing.order_by("pk").values_list("pk", flat=True))


def _note():
    return _("the whole job laid out anew")


@transaction.atomic
def _one(work, pk):
    """None when it came out, else (the room's name, what is wrong)."""
    # The lock: a person who issues this room at the same moment comes before or after, not between.
    here = Room.objects.of(work.shop).select_for_update().filter(pk=pk, cancelled=False, stage__lt=ROUGH_IN)
    if not here.exists():  # put away or roughed in while the others were laid out
        return None
    room = room_of(work.shop, pk)
    try:
        with transaction.atomic():
            _keep_numbers(room, work.asked_for["numbers"])
            layout = _checked(room_of(work.shop, pk))
            newest = room.revisions.order_by("-number").first()
            if work.asked_for["issue"] and (newest is None or is_behind(newest, layout)):
                issue_revision(room, by=work.asked_by, note=_note())
    except (LengthError, NotLaidOutYet, NoLightType, NothingToPrint, Breaks) as error:
        return [room.name, str(error)[:300]]
    return None


def _keep_numbers(room, numbers):
    draft = draft_of(room)
    wanted = {name: nanometers(numbers[name]) for name in NUMBERS if name in numbers}
    if all(getattr(draft, name) == length for name, length in wanted.items()):
        return
    change_draft(draft, draft.version, wanted, {axis: draft.typed(axis) for axis in ("along", "across")})


def _checked(room):
    """The layout as it now comes out. Raises Breaks where a person has to look at it before it is printed."""
    layout = lay_out(inputs_of(room, draft_of(room)))
    if not layout.arrangement.fits:
        found = [say(finding, room.job.tape) for finding in layout.arrangement.findings]
        raise Breaks(" ".join(found[:MOST_SAID]))
    return layout
