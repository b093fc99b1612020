"""What was billed on a job: written down, taken back by a row against it, never changed. Knows no page."""

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from reports.purchasing.forms import new_slip
from reports.rooms.models import Billed


@transaction.atomic
def bill(job, *, on, amount, words, slip, by):
    """Write down a bill; the same press again writes nothing new."""
    try:
        with transaction.atomic():
            return Billed.objects.create(
                shop_id=job.shop_id, job=job, on=on, amount=amount, words=words, slip=slip, by=by, at=timezone.now()
            )
    except IntegrityError:
        return Billed.objects.of(job.shop_id).get(job=job, slip=slip)


@transaction.atomic
def take_back(row, *, by):
    """A row against a slip of the pen; both can be read. Taken back once: False for the second time."""
    if row.undoes_id is not None:
        return False
    try:
        with transaction.atomic():
            Billed.objects.create(
                shop_id=row.shop_id, job_id=row.job_id, on=row.on, amount=-row.amount, slip=new_slip(), undoes=row,
                words=_("taken back"), by=by, at=timezone.now(),
            )  # fmt: skip
    except IntegrityError:
        return False
    return True
