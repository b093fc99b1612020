"""Fifty requests at once under one key. A file of its own: what it writes is committed, no house stands beside it."""

from threading import Barrier, Thread

import pytest
from django.db import connection

from tests.api.houses import House
from tests.api.test_keys import jobs_with, open_job


@pytest.mark.django_db(transaction=True)
def test_fifty_at_once_with_one_key_make_one_job():
    """Each is answered as the first one, or told to wait; none makes a second job."""
    house = House()
    askers, start, told = [house.ask() for _ in range(50)], Barrier(50), []

    def ask(asker):
        try:
            start.wait(timeout=60)
            told.append(open_job(asker, house))
        finally:
            connection.close()

    threads = [Thread(target=ask, args=(asker,)) for asker in askers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=120)
    assert len(told) == 50
    assert {each.status_code for each in told} <= {201, 409}
    made = {each.content for each in told if each.status_code == 201}
    assert len(made) == 1 and jobs_with("J-77") == 1
    assert open_job(house.ask(), house).content == made.pop()
