"""Whoever takes the phone next finds nothing of the one before on it, however they come in."""

import datetime as dt

import pytest
from django.utils import timezone

from projects.jobs.models import Room
from projects.joining import services
from reports.field.queries import person_ident
from tests.browser.phones import Phone

pytestmark = pytest.mark.browser


def test_somebody_who_joins_by_a_code_finds_no_page_of_the_person_before(shop, den, issued, chromium, live_server):
    issued(den)
    Room.objects.of(den.shop).filter(pk=den.pk).update(stage=5)
    phone = Phone(chromium, live_server.url, shop.people["crew"])
    phone.keeps_the_day(f"/field/rooms/{den.pk}/")
    phone.session_ends()
    last = timezone.localdate() + dt.timedelta(days=1)
    _code, digits = services.show_code(den.job, until=last, by=shop.people["owner"])
    phone.goes_to("/join/")
    phone.types("Code", digits).types("Your name", "Tomás").presses("Join")
    phone.page.wait_for_url(lambda address: "/join/" not in address)
    shelves, complaints = phone.shelves(), phone.complaints
    phone.ends()
    assert f"person-{person_ident(shop.people['crew'])}" not in shelves and complaints == []
