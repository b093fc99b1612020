"""Whichever call of the database or of the disk fails, a use leaves what stood before or what it comes to, whole.

As SQLite's own anomaly tests: the n-th call fails, for every n (sqlite.org/testing.html, 3). What changed is read from
the history, which triggers keep for every table; files from the shop's folder.
"""

import errno
import json
import os
from collections import Counter
from contextlib import ExitStack, contextmanager
from pathlib import Path
from unittest.mock import patch

import pytest
from django.db import OperationalError, connection, transaction

from projects.files.store import folder_of
from projects.history.models import Entry
from tests.api.houses import PROBLEM, House
from tests.conftest import own_copy, standing
from tests.faults.main_uses import USES

SAMPLE = 4  # points of a use tried each time; under `long` all of them
SETTLING = ("SAVEPOINT", "RELEASE", "ROLLBACK")  # whether a whole transaction goes through: test_full_disk

house_standing = standing(House)


@pytest.fixture
def house(house_standing, db):
    return own_copy(house_standing)


class Failing:
    """Counts statements and calls of the disk, and lets the n-th fail; n 0: none."""

    def __init__(self, n):
        self.n, self.count, self.at = n, 0, ""

    def step(self, what, error):
        self.count += 1
        if self.count == self.n:
            self.at = what
            raise error

    def statement(self, execute, sql, params, many, context):
        if not sql.lstrip().upper().startswith(SETTLING):
            self.step(sql[:90], OperationalError("the database is away (on purpose)"))
        return execute(sql, params, many, context)

    def disk(self, name, real):
        def call(*args, **kwargs):
            mode = [*args[1:], kwargs.get("mode", "r")][0]
            if name != "open" or "w" in str(mode):
                self.step(f"disk: {name}", OSError(errno.ENOSPC, "No space left on device"))
            return real(*args, **kwargs)

        return call


@contextmanager
def failing_at(n):
    failing = Failing(n)
    with ExitStack() as stack:
        stack.enter_context(connection.execute_wrapper(failing.statement))
        stack.enter_context(patch("os.fsync", failing.disk("fsync", os.fsync)))
        for name in ("replace", "open"):
            stack.enter_context(patch.object(Path, name, failing.disk(name, getattr(Path, name))))
        yield failing


class Undo(Exception):
    """Take everything back."""


class Outcome:
    """One try of a use, taken back afterwards: its answer, and what it left."""

    def __init__(self, house, act, n):
        before, kept = _last(), _files(house)
        try:
            with transaction.atomic():
                with failing_at(n) as failing:
                    self.answer = act()
                    self.body = b"" if self.answer.streaming else self.answer.content
                # What a server commits statement by statement is not taken back by one that failed.
                connection.needs_rollback = False
                rows = Entry.objects.every_shop().filter(pk__gt=before).values_list("what", "did")
                self.left = Counter(rows)
                self.files = len(_files(house) - kept)
                raise Undo
        except Undo:
            pass
        for name in _files(house) - kept:
            (folder_of(house.shop.pk) / name).unlink()
        self.failing = failing


def _last():
    return Entry.objects.every_shop().order_by("-pk").values_list("pk", flat=True).first() or 0


def _files(house):
    folder = folder_of(house.shop.pk)
    return set(os.listdir(folder)) if folder.exists() else set()


def held(house, act, whole, n):
    tried = Outcome(house, act, n)
    answer, where = tried.answer, f"call {n} failed: {tried.failing.at}; answered {tried.answer.status_code}"
    assert tried.failing.at, where
    if tried.left:
        assert (tried.left, tried.files) == (whole.left, whole.files), f"neither before nor after. {where}"
    else:
        assert tried.files == 0, f"files without a record. {where}"
    if answer.status_code < 400:
        assert tried.left == whole.left, f"said to be done. {where}"
        return
    assert answer["X-Request-ID"]
    if answer.status_code >= 500 and answer["Content-Type"] == PROBLEM:
        assert json.loads(tried.body)["request_id"] == answer["X-Request-ID"], where
    elif answer.status_code >= 500:
        assert answer["X-Request-ID"] in tried.body.decode(), where


def whole_use(house, name):
    act = USES[name](house)
    whole = Outcome(house, act, 0)
    assert whole.answer.status_code < 400, (whole.answer.status_code, whole.body[:600])
    assert whole.left, "it changes nothing"
    return act, whole


@pytest.mark.parametrize("name", USES)
def test_a_use_is_done_whole_or_not_at_all(house, name):
    act, whole = whole_use(house, name)
    calls = whole.failing.count
    for n in {1 + round(part * (calls - 1) / (SAMPLE - 1)) for part in range(SAMPLE)}:
        held(house, act, whole, n)


@pytest.mark.long
@pytest.mark.parametrize("name", USES)
def test_whichever_call_fails_a_use_is_done_whole_or_not_at_all(house, name, capsys):
    act, whole = whole_use(house, name)
    for n in range(1, whole.failing.count + 1):
        held(house, act, whole, n)
    with capsys.disabled():
        print(f"{name}: {whole.failing.count} calls", end="; ")
