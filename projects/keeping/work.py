"""Taking a shop out as long work. Begun again, it is made anew."""

from django.urls import reverse

from projects.files.store import QuotaFull
from projects.keeping.services import KIND, take_out
from projects.work.kinds import kind
from projects.work.running import WorkFailed


@kind(KIND, may="run the shop", where=lambda work: reverse("shop_keeping"))
def shop_taken_out(work, progress):
    progress.at(0, 1)
    try:
        made = take_out(work.shop, work.asked_by)
    except QuotaFull as full:
        raise WorkFailed(str(full)) from full
    progress.at(1, 1)
    return {"rows": made.rows, "bytes": made.bytes}
