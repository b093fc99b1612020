"""From sign-in to a printed card for a new room, on a phone: few entries, no scroll sideways, no waiting."""

import time

import pytest

pytestmark = pytest.mark.browser


def test_a_new_room_is_on_a_card_after_five_entries_on_a_phone(shop, person, facts, capsys):
    lead = person(width=facts.phone)
    began = time.monotonic()
    lead.signs_in("crew_lead@shop.example")
    lead.presses("New room")
    lead.types("Left to right", "12' 6 1/2\"")
    lead.types("Door to far wall", "10' 3\"")
    lead.presses("Lay out")
    lead.presses("Issue revision")
    lead.presses("Mark-out card")
    card = lead.gets("Print card")
    took = time.monotonic() - began
    assert card.startswith(b"%PDF")
    assert lead.entries <= 5
    with capsys.disabled():
        print(f"\n  sign-in to card: {lead.entries} entries, {took:.1f} s with every page looked over")
