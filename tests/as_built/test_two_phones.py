"""Two phones that enter the same mark at the same moment: one is kept, the other is told."""

import threading

import pytest
from django.db import connections

from layout.as_built.models import AsBuilt, MarkMove
from layout.as_built.services import Differs, record
from layout.engine.lengths import inches
from tests.as_built.rooms import crew, marked_room


@pytest.mark.django_db(transaction=True)
def test_of_two_phones_at_once_one_is_kept_and_the_other_is_told():
    room = marked_room()
    hands = crew(room), crew(room)
    ready, said = threading.Barrier(2), []

    def phone(hand, across):
        try:
            ready.wait()
            record(room, "A1", step="floor", across=across, reason="duct", by=hand)
            said.append("kept")
        except Differs:
            said.append("differs")
        finally:
            connections.close_all()

    places = inches(31), inches(32)
    phones = [threading.Thread(target=phone, args=both) for both in zip(hands, places, strict=True)]
    for one in phones:
        one.start()
    for one in phones:
        one.join()
    assert sorted(said) == ["differs", "kept"]
    assert AsBuilt.objects.of(room.shop).filter(current=True).count() == 1
    assert MarkMove.objects.of(room.shop).count() == 1
