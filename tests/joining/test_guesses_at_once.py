"""Guesses made at the same moment are counted one by one."""

import datetime as dt
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection
from django.utils import timezone

from projects.doors.models import Tried
from projects.joining import services
from projects.joining.models import JoinCode, Joined
from tests.factories import JobFactory, MemberFactory


@pytest.mark.django_db(transaction=True)
def test_twelve_guesses_at_once_are_five_tries_of_the_code_and_twelve_of_the_hour(monkeypatch):
    lead = MemberFactory()
    job = JobFactory(shop=lead.shop)
    code, digits = services.show_code(job, until=timezone.localdate() + dt.timedelta(days=1), by=lead)
    compared, before = [], int(timezone.now().timestamp() * 1000)
    real = services.constant_time_compare
    monkeypatch.setattr(services, "constant_time_compare", lambda *both: compared.append(1) or real(*both))

    def guess(number):
        try:
            services.join(digits[:4] + f"{(int(digits[4:]) + 1 + number) % 10**6:06}", "Tomás", source="here")
        except services.NotJoined:
            return False
        finally:
            connection.close()
        return True

    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(guess, range(12))) == [False] * 12
    assert len(compared) == 5
    assert JoinCode.objects.of(job.shop).get(pk=code.pk).wrong == 5
    moved = {tried.what: tried.due - before for tried in Tried.objects.all()}  # 12 tries of 4 minutes, of 12 seconds
    assert 0 <= moved["join from"] - 12 * 240_000 < 600_000 and 0 <= moved["join"] - 12 * 12_000 < 600_000
    assert not Joined.objects.of(job.shop).exists()
