"""A worker that is killed in the middle: another finds its work, and one alone finishes it. With real processes."""

import datetime as dt
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from django.db import connection
from django.utils import timezone

from projects.work import services
from projects.work.models import Work
from tests.factories import MemberFactory

ROOT = Path(__file__).resolve().parents[2]
STEPS = 40
PATIENCE = 60  # seconds until a test gives up waiting; nothing is asserted about time


def worker(*options):
    script = ["-m", "tests.work.one_worker", str(connection.settings_dict["NAME"]), "--interval", "0.05", *options]
    return subprocess.Popen([sys.executable, *script], cwd=ROOT, env={**os.environ})


def wait_for(said, what):
    until = time.monotonic() + PATIENCE
    while not said():
        assert time.monotonic() < until, f"waited in vain: {what}"
        time.sleep(0.05)


@pytest.mark.django_db(transaction=True)
def test_a_killed_workers_work_is_finished_by_one_other(tmp_path):
    log, member = tmp_path / "steps", MemberFactory()
    arguments = {"steps": STEPS, "seconds": 0.05, "log": str(log)}
    work = services.start(member.shop, "practice", arguments, member)
    rows = Work.objects.of(member.shop).filter(pk=work.pk)

    first = worker()
    try:
        wait_for(lambda: rows.get().done >= 3, "the first worker begins")
        os.kill(first.pid, signal.SIGKILL)
    finally:
        first.kill()
        first.wait()
    left = rows.get()
    assert left.state == "running" and left.done < STEPS, "nobody could say that it ended"

    rows.update(beat=timezone.now() - 2 * services.STALE)  # instead of waiting until it is silent for so long
    others = [worker("--until-idle"), worker("--until-idle")]
    assert [other.wait(PATIENCE) for other in others] == [0, 0]

    done = rows.get()
    assert (done.state, done.done, done.taken_up_again) == ("done", STEPS, 1)
    lines = [line.split() for line in log.read_text().splitlines()]
    after = [(pid, int(step)) for pid, step in lines if int(pid) != first.pid]
    assert len({pid for pid, _ in after}) == 1, "two workers did the same work"
    assert [step for _, step in after] == list(range(left.done, STEPS)), "it goes on from the last step told"
    assert {int(step) for _, step in lines} == set(range(STEPS))


@pytest.mark.django_db(transaction=True)
def test_a_worker_asked_to_end_leaves_its_work_to_the_next(tmp_path):
    member = MemberFactory()
    work = services.start(member.shop, "practice", {"steps": 400, "seconds": 0.05}, member)
    rows = Work.objects.of(member.shop).filter(pk=work.pk)
    first = worker()
    try:
        wait_for(lambda: rows.get().done >= 2, "the worker begins")
        first.send_signal(signal.SIGTERM)
        assert first.wait(PATIENCE) == 0
    finally:
        first.kill()
    left = rows.get()
    assert left.state == "waiting" and 2 <= left.done < 400
    assert left.beat > timezone.now() - dt.timedelta(minutes=1)
