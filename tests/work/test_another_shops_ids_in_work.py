"""Long work that names another shop's record ends like one that names nothing, and leaves both shops as they were."""

import re

import pytest

from projects.work.kinds import KINDS
from projects.work.models import Work
from projects.work.running import do_work
from projects.work.services import start
from tests.factories import MemberFactory, RoomListFactory
from tests.shops import practice_room
from tests.untouched import nothing_changes

pytestmark = pytest.mark.django_db
ABSENT = 987_654
OF_NO_RECORD = {"take the shop out": "all of the shop that asks"}
IDS = ("job_id", "room_id", "list_id")
# What the kinds read beside ids.
MORE = {
    "label": "Kept", "paper": "letter", "issue": True, "numbers": {}, "lux": 300.0, "wall_ratio": None,
    "uniformity": None, "spacing_limit": 1_828_800_000,
}  # fmt: skip
REAL = [name for name in KINDS if not name.startswith("practice") and name not in OF_NO_RECORD]


def outcome(member, kind, ids):
    work = start(member.shop, kind, MORE | ids, member)
    with nothing_changes(leave=("work.Work", "takeoffs.RoomLines")):
        do_work(work.pk, Work.objects.of(member.shop_id).get(pk=work.pk).task)
    ended = Work.objects.of(member.shop_id).get(pk=work.pk)
    return ended.state, re.sub("|".join(map(str, ids.values())), "N", ended.error)


@pytest.mark.parametrize("kind", REAL)
def test_another_shops_ids_end_like_ids_of_nothing(kind):
    owner = MemberFactory(role="owner")
    room = practice_room(MemberFactory().shop)
    theirs = {"job_id": room.job_id, "room_id": room.pk, "list_id": RoomListFactory(job=room.job).pk}
    told = [outcome(owner, kind, ids) for ids in (theirs, dict.fromkeys(IDS, ABSENT))]
    assert told[0] == told[1]
    assert told[0][0] == "failed"


def test_every_kind_is_among_them():
    assert len(REAL) >= 8
    assert set(OF_NO_RECORD) <= set(KINDS)
