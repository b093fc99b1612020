"""The sum shows only the boxes that count for what was chosen; the others' numbers are kept, not lost and not asked."""

import pytest

from layout.engine.lengths import inches
from layout.models import Draft
from tests.factories import MemberFactory
from tests.shops import on_page, practice_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def member(client):
    owner = MemberFactory()
    client.force_login(owner.user)
    return owner


def keep(client, room, **changes):
    page = client.get(f"/rooms/{room.pk}/")
    return client.post(f"/rooms/{room.pk}/", on_page(page, "rows") | changes)


def stored(room):
    return Draft.objects.of(room.shop_id).get(room=room)


@pytest.mark.parametrize("mode", ["even", "half_gap"])
def test_an_even_split_is_kept_again_and_the_number_off_the_wall_waits_for_its_turn(client, member, mode):
    room = practice_room(member.shop)
    assert keep(client, room, mode_along=mode, mode_across=mode).status_code == 302
    assert keep(client, room, lights_per_row="4").status_code == 302
    assert keep(client, room, mode_along="wall_held", mode_across="wall_held").status_code == 302
    assert (stored(room).end_setback, stored(room).row_setback) == (inches(12), inches(18))


def test_numbers_typed_for_locked_lights_outlive_a_look_at_the_even_split(client, member):
    room = practice_room(member.shop)
    keep(client, room, mode_across="locked")  # refused: no numbers yet
    page = client.get(f"/rooms/{room.pk}/")
    typed = on_page(page, "rows") | {"mode_across": "locked", "typed_across": "20, 57 1/4"}
    assert client.post(f"/rooms/{room.pk}/", typed).status_code == 302
    assert keep(client, room, mode_across="even").status_code == 302
    assert stored(room).typed("across") == (inches(20), inches("57 1/4"))


def test_one_row_stands_in_the_middle_and_no_box_says_otherwise(client, member):
    """77 1/4 in across: one row is 38 5/8 off either wall, by hand."""
    room = practice_room(member.shop)
    assert keep(client, room, rows="1").status_code == 302
    page = client.get(f"/rooms/{room.pk}/").content.decode()
    line = page.split('data-line="across-setback"')[1].split("</li>")[0]
    assert "in the middle, off the wall" in line
    assert "38 5/8" in line
    assert "<input" not in line
    assert keep(client, room, rows="2").status_code == 302
    assert stored(room).row_setback == inches(18)


def test_where_nothing_fits_the_number_off_the_wall_can_still_be_changed(client, member):
    room = practice_room(member.shop)
    assert keep(client, room, row_setback="60").status_code == 302
    page = client.get(f"/rooms/{room.pk}/")
    assert "Won&#x27;t fit as asked" in page.content.decode() or "Won't fit as asked" in page.content.decode()
    line = page.content.decode().split('data-line="across-setback"')[1].split("</li>")[0]
    assert "<input" in line
    assert keep(client, room, row_setback="18").status_code == 302
    assert stored(room).row_setback == inches(18)
