"""A limit under many threads at once. A file of its own: what it writes is committed, no house stands beside it."""

from threading import Barrier, Thread

import pytest
from django.db import connection

from projects.traffic import counts
from tests.api.test_limits import NOON


@pytest.mark.django_db(transaction=True)
def test_at_once_from_many_threads_exactly_so_many_pass():
    start, through = Barrier(20), []

    def ask():
        try:
            start.wait(timeout=60)
            through.extend(counts.take("a", 25, 60, now=NOON) == 0 for _ in range(3))
        finally:
            connection.close()

    threads = [Thread(target=ask) for _ in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=120)
    assert (len(through), sum(through)) == (60, 25)
