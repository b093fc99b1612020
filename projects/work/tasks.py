"""The one task in the queue: carry out a piece of work. What the work is stands in its own row."""

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django_tasks import task

from projects.work.ending import is_ending
from projects.work.models import State, Work
from projects.work.running import PutBack, do_work


@task(takes_context=True)
def carry_out(context, work_id):
    try:
        do_work(work_id, context.task_result.id, is_ending)
    except PutBack as put:
        _put_back(*put.args)


def queued(work):
    """With a task of its own in the queue. Called inside the transaction that made the work wait."""
    work.task = carry_out.enqueue(work.pk).id
    Work.objects.of(work.shop_id).filter(pk=work.pk).update(task=work.task)
    return work


@transaction.atomic
def _put_back(work):
    now = timezone.now()
    mine = Work.objects.of(work.shop_id).filter(pk=work.pk, task=work.task, state=State.RUNNING)
    if mine.update(state=State.WAITING, beat=now, updated_at=now, version=F("version") + 1):
        queued(work)
