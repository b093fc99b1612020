"""Changes of state of takeoffs: one is kept, rules are saved, items are asked for. Each in one transaction."""

import datetime as dt

from django.db import models, transaction
from django.utils import timezone

from projects.jobs.models import Job
from reports.estimating import frozen_takeoff
from reports.estimating.frozen_takeoff import FrozenTakeoff, NotAsKept
from reports.estimating.takeoff import Basis
from reports.takeoffs.counting import count_job
from reports.takeoffs.models import Takeoff
from reports.takeoffs.rules import body_of


def takeoff_now(job, *, number=0, label="", on=None, counted=None):
    """The job as it would be kept now, without prices: a FrozenTakeoff that nobody has kept (number 0)."""
    counted = counted or count_job(job)
    return FrozenTakeoff(
        number=number,
        label=label,
        job_number=job.number,
        job_name=job.name,
        unit=job.tape.unit,
        on=on or timezone.localdate(),
        rooms=counted.rooms,
        job=counted.job,
        rules_version=counted.rules_version,
        left_out=counted.left_out,
    )


@transaction.atomic
def freeze(job, *, by, label="", at=None):
    """Keep the job's takeoff as it stands, with its rules and, where there are any, its prices. Raises NotAsIssued."""
    # The job's row is the lock: two people who keep one at once get two numbers.
    Job.objects.of(job.shop_id).select_for_update().get(pk=job.pk)
    at = at or timezone.now()
    last = job.takeoffs.aggregate(last=models.Max("number"))["last"] or 0
    on: dt.date = timezone.localtime(at).date()
    taken = _priced(job, takeoff_now(job, number=last + 1, label=label, on=on))
    body, prices = frozen_takeoff.to_text(taken), frozen_takeoff.prices_text(taken)
    rules, _ = body_of(job.shop)
    return Takeoff.objects.create(
        shop_id=job.shop_id,
        job=job,
        number=taken.number,
        label=label,
        body=body,
        prices=prices,
        rules=rules,
        digest=frozen_takeoff.digest(body, prices, rules),
        rooms=len(taken.rooms),
        rooms_counted=sum(room.basis is Basis.COUNTED for room in taken.rooms),
        by=by,
        at=at,
    )


def thaw(takeoff, *, prices=False):
    """The takeoff as it was kept. prices: with its money, for people who may see prices. Raises NotAsKept."""
    if frozen_takeoff.digest(takeoff.body, takeoff.prices, takeoff.rules) != takeoff.digest:
        raise NotAsKept(f"Takeoff {takeoff.number} is not as it was kept.")
    return frozen_takeoff.from_text(takeoff.body, takeoff.prices if prices else "")


def _priced(job, taken):
    return taken
