"""The worker: takes tasks from the queue one by one, and takes up again what another left behind."""

import datetime as dt
import logging
import time

from django.db import close_old_connections
from django.utils import timezone
from django.utils.crypto import get_random_string
from django_tasks import TaskResultStatus
from django_tasks_db.management.commands.db_worker import Worker
from django_tasks_db.models import DBTaskResult

from projects.work.ending import is_ending
from projects.work.running import Heart
from projects.work.services import take_up_again
from projects.work.signs import Sign

# What else is done now and then by whoever works; registered by other parts. Each says for itself whether it is time.
NOW_AND_THEN: list = []

KEPT_DAYS = 14  # a task's own row; the shop's Work rows stay

class OneTask(Worker):
    """Takes one task and ends, or ends at once when there is none."""

    def __init__(self, sign):
        self.sign = sign
        super().__init__(
            queue_names=["default"], interval=0, batch=True, backend_name="default", startup_delay=False,
            max_tasks=1, worker_id=sign.name, excluded_queue_names=[],
        )  # fmt: skip

    def run_task(self, db_task_result):
        with Heart(db_task_result.pk, self.sign):
            super().run_task(db_task_result)

    @property
    def took_one(self):
        return self._run_tasks > 0


def run(*, interval=1.0, until_idle=False, still_wanted=lambda: True):
    """Work until asked to end (SIGTERM, SIGINT). until_idle: end when nothing is left to do."""
    logging.getLogger("django_tasks").setLevel(logging.ERROR)  # how work ended stands in its own row
    _forget_old_tasks()
    with Sign(get_random_string(32)) as sign:
        while not is_ending() and still_wanted():
            close_old_connections()
            sign.give()
            take_up_again()
            for done in NOW_AND_THEN:
                done()
            one = OneTask(sign)
            one.run()
            if one.took_one:
                continue
            if until_idle:
                return
            _rest(interval)


def _rest(seconds):
    until = time.monotonic() + seconds
    while not is_ending() and (left := until - time.monotonic()) > 0:
        time.sleep(min(left, 0.2))


def _forget_old_tasks():
    before = timezone.now() - dt.timedelta(days=KEPT_DAYS)
    ended = (TaskResultStatus.SUCCESSFUL, TaskResultStatus.FAILED)
    DBTaskResult.objects.filter(status__in=ended, finished_at__lt=before).delete()
