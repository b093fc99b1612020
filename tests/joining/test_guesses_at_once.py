"""Guesses made at the same moment are counted one by one."""

import datetime as dt
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection
from django.utils import timezone

from projects.joining import services
from projects.joining.models import JoinCode, Joined, TriesOfAnHour
from tests.factories import JobFactory, MemberFactory


@pytest.mark.django_db(transaction=True)
def test_twelve_guesses_at_once_are_five_tries_of_the_code_and_twelve_of_the_hour(monkeypatch):
    lead = MemberFactory()
    job = JobFactory(shop=lead.shop)
    code, digits = services.show_code(job, until=timezone.localdate() + dt.timedelta(days=1), by=lead)
    compared = []
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
    assert sorted(TriesOfAnHour.objects.values_list("tries", flat=True)) == [12, 12]
    assert not Joined.objects.of(job.shop).exists()
