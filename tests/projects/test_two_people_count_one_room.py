"""Counts and wire points are saved as one, and nobody's are lost to a page that was opened earlier."""

import pytest

from layout.engine.lengths import inches
from tests.factories import FixtureTypeFactory, MemberFactory, RoomFactory
from tests.shops import fresh, on_page

pytestmark = pytest.mark.django_db


def test_a_count_saved_meanwhile_is_shown_beside_what_was_typed(client):
    owner = MemberFactory()
    client.force_login(owner.user)
    room = RoomFactory(shop=owner.shop)
    light = FixtureTypeFactory(shop=owner.shop)
    page = f"/rooms/{room.pk}/counts/"
    opened = on_page(client.get(page), "type_1") | {"type_1": light.pk}
    switch = {"switch_from_left": "6", "switch_from_door": "0", "switch_height": "48"}
    assert client.post(page, opened | switch | {"count_1": "6"}).status_code == 302
    late = client.post(page, opened | {"count_1": "8"})
    assert late.status_code == 409
    (kept,) = fresh(room).counts.all()
    (point,) = fresh(room).wire_points.all()
    assert (kept.count, point.height) == (6, inches(48))
    assert client.post(page, on_page(client.get(page), "type_1") | {"count_1": "8"}).status_code == 302
    assert fresh(room).counts.get().count == 8
