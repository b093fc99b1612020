"""A room that was taped again says so wherever its last revision could still be printed."""

import pytest

from tests.factories import MemberFactory
from tests.shops import issue, practice_room, tape_room

pytestmark = pytest.mark.django_db
CHANGED = "The room has changed since revision 1"


@pytest.fixture
def room(client):
    owner = MemberFactory()
    client.force_login(owner.user)
    room = practice_room(owner.shop)
    issue(room)
    return room


def pages(client, room):
    return [client.get(f"/rooms/{room.pk}/{page}").content.decode() for page in ("", "revisions/1/card/")]


def test_nothing_is_said_while_the_room_is_as_it_was_issued(client, room):
    assert not any(CHANGED in page for page in pages(client, room))


def test_a_ceiling_taped_again_otherwise_puts_the_revision_behind(client, room):
    tape_room(room, "finished", "150 3/4", "77 1/4")
    assert all(CHANGED in page for page in pages(client, room))


def test_the_same_numbers_taped_again_change_nothing(client, room):
    tape_room(room, "finished", "150 1/2", "77 1/4")
    assert not any(CHANGED in page for page in pages(client, room))


def test_the_next_revision_settles_it(client, room):
    tape_room(room, "finished", "150 3/4", "77 1/4")
    issue(room)
    assert "The room has changed" not in client.get(f"/rooms/{room.pk}/").content.decode()
    assert "Out of date" in client.get(f"/rooms/{room.pk}/revisions/1/card/").content.decode()
