"""Rooms that were made from another."""

from factory import SubFactory

from layout.alike.models import Follows
from tests.factories.base import NOON, Below
from tests.factories.jobs import RoomFactory


class FollowsFactory(Below):
    class Meta:
        model = Follows

    room = SubFactory(RoomFactory)
    equal = "{}"
    at = NOON
