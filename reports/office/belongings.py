"""Which tables of layout and reports go along when a room or a job is purged, and how those are called that keep it.

Layouts, moves and cards are the room's own. Hours, feet, material, orders, extras, changes, bids and kept takeoffs are
the shop's books: a room or a job they name stays in the trash.
"""

from django.utils.translation import gettext_lazy as _

from layout.light.models import MeterReading
from layout.models import LayoutRevision, RevisionMark, SiteMove, WayTaken
from projects.jobs.models import Room
from projects.trash.purging import goes_with_job, goes_with_room, held_by, keeps_a_room
from reports.bids.models import Bid
from reports.changes.models import ChangedRoom, ChangeOrder, ContractTerms, FieldExtra
from reports.models import CardCopy
from reports.prices.models import Conditions, JobRates, LoggedFeet, LoggedHours
from reports.purchasing.models import Leftover, Movement, Order, PickList
from reports.takeoffs.models import Takeoff
from reports.wiring.models import Pull

goes_with_room(CardCopy, "revision__room")
goes_with_room(RevisionMark, "revision__room")
goes_with_room(LayoutRevision)
goes_with_room(WayTaken)
goes_with_room(SiteMove)
goes_with_room(MeterReading)
goes_with_room(Conditions)
goes_with_job(Conditions)
goes_with_job(JobRates)
goes_with_job(ContractTerms)

for model, words in {
    Room: _("rooms that have to stay"),
    Bid: _("bids"),
    ChangeOrder: _("change orders"),
    ChangedRoom: _("change orders"),
    FieldExtra: _("field extras"),
    LoggedHours: _("hours logged"),
    LoggedFeet: _("cable logged"),
    Pull: _("cable pulled"),
    Order: _("orders"),
    PickList: _("pick lists"),
    Movement: _("material that was moved"),
    Leftover: _("leftovers"),
    Takeoff: _("kept takeoffs"),
}.items():
    held_by(model, words)


@keeps_a_room.append
def numbers_on_labels(room):
    """Cables are numbered by the order of their rooms: while a later one of a standing job has cable in, it stays."""
    if room.job.trashed_at is None and Pull.objects.of(room.shop_id).filter(
        room__job=room.job_id, room_id__gt=room.pk, undoes=None, undone_by=None
    ).exists():
        return _("numbers on cable labels of later rooms")
    return ""
