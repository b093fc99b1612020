"""The one task in the queue: carry out a piece of work. What the work is stands in its own row."""

from django_tasks import task

from projects.work import worker
from projects.work.running import do_work


@task(takes_context=True)
def carry_out(context, work_id):
    do_work(work_id, context.task_result.id, worker.is_ending)
