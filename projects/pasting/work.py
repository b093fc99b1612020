"""A long list entered as work: its rows are read some at a time, and its rooms made in one step at the end.

Until then nothing is stored, so cancelling leaves nothing behind. Begun again after they were made, it makes no more.
"""

from django.db import transaction
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.pasting.models import RoomList
from projects.pasting.rows import lines_of, row_of
from projects.pasting.services import NotAllRight, enter, names_in
from projects.work.kinds import kind
from projects.work.running import WorkFailed

STEP = 100  # rows


@kind("enter rooms", may="keep rooms", where=lambda work: reverse("job", args=[work.asked_for["job_id"]]))
def enter_rooms(work, progress):
    found = RoomList.objects.of(work.shop).select_related("job__shop", "by__user").get(pk=work.asked_for["list_id"])
    if found.job.trashed_at is not None:
        raise WorkFailed(_("The job is in the trash. Put it back, then resume."))
    if found.entered_at is None:
        _enter(found, progress)
    return {"rooms": len(lines_of(found.text).rows)}


def _enter(found, progress):
    table, taken, rows = lines_of(found.text), names_in(found.job), []
    total = len(table.rows) + 1  # the last step makes the rooms
    for start in range(0, len(table.rows), STEP):
        for number, cells in table.rows[start : start + STEP]:
            rows.append(row_of(table.columns, number, cells, found.job.tape, taken))
        progress.at(len(rows), total)
    try:
        with transaction.atomic():
            waiting = RoomList.objects.of(found.shop_id).filter(pk=found.pk, entered_at=None)
            if waiting.update(entered_at=timezone.now()):
                enter(found.job, rows, kind=found.kind, by=found.by)
    except NotAllRight as wrong:
        first = next(row for row in wrong.rows if row.errors)
        words = _("Row %(row)s: %(what)s No room was made. Mend the list and paste it again.")
        raise WorkFailed(words % {"row": first.number, "what": " ".join(first.errors[0])}) from wrong
    progress.at(total, total)
