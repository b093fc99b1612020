"""Eight processes write the same rooms over the API: what one was told is kept, no other writes over unseen.

Judged by the history, which triggers write and no view does: versions without a gap, each change made from what its
writer had read. As the register and set checks of a small Jepsen (common practice, no source).
"""

import json
from collections import Counter, defaultdict

import pytest

from projects.history.models import Entry
from projects.jobs.models import Room
from projects.jobs.queries import room_of
from projects.jobs.services import change_room
from projects.photos.models import PunchItem
from projects.photos.services import find
from projects.platform.tenancy import StaleVersion
from tests.api.houses import Asker, token_of
from tests.factories import JobFactory, MemberFactory, RoomFactory
from tests.faults.processes_at_once import at_once

pytestmark = pytest.mark.django_db(transaction=True)
PROCESSES, ROOMS = 8, 4


class Writer:
    """One process's: notes written over what was read; told that somebody was quicker, it looks and writes again.

    One write in every `over_api` goes over the API; the others call what the API and the pages call.
    """

    def __init__(self, secret, member, over_api):
        self.asker, self.member, self.over_api = Asker(secret), member, over_api
        self.told, self.added, self.answers = [], [], Counter()

    def write(self, n, room, name):
        over_api = n // 2 % self.over_api == 0
        if n % 2:
            (self._add_over_api if over_api else self._add)(room, name)
            self.added.append((room, name))
        else:
            put = self._put_over_api if over_api else self._put
            while (made_from := put(room, name)) is None:
                pass
            self.told.append((room, name, made_from))

    def _add_over_api(self, room, name):
        answer = self.asker.post(f"/api/v1/rooms/{room}/punch/", {"words": name})
        self.answers[answer.status_code] += 1
        assert answer.status_code == 201, answer.content

    def _add(self, room, name):
        find(room_of(self.member.shop, room), self.member, words=name)
        self.answers["added"] += 1

    def _put_over_api(self, room, name):
        address = f"/api/v1/rooms/{room}/"
        read = self.asker.get(address)
        answer = self.asker.send("PATCH", address, {"note": name}, If_Match=read["ETag"])
        self.answers[answer.status_code] += 1
        assert answer.status_code in (200, 412), answer.content
        return read.json()["note"] if answer.status_code == 200 else None

    def _put(self, room, name):
        read = room_of(self.member.shop, room)
        made_from = read.note
        try:
            change_room(read, read.version, {"note": name})
        except StaleVersion:
            self.answers["stale"] += 1
            return None
        self.answers["changed"] += 1
        return made_from


def write(place, barrier, secret, member, rooms, count, over_api):
    writer = Writer(secret, member, over_api)
    barrier.wait()
    for n in range(count):
        writer.write(n, rooms[(place + n // 2) % len(rooms)], f"{place}-{n}")
    return writer.told, writer.added, writer.answers


def written_by_all(count, over_api=1):
    """Answers by status or what was done, after everything acknowledged was found and nothing else."""
    member = MemberFactory(role="owner")
    job = JobFactory(shop=member.shop)
    rooms = [RoomFactory(job=job, note="").pk for _ in range(ROOMS)]
    before = dict(Room.objects.of(member.shop).values_list("pk", "version"))
    secret = token_of(member)
    Asker(secret).get(f"/api/v1/rooms/{rooms[0]}/")  # what every process would load by itself is loaded once
    given = at_once(PROCESSES, write, secret, member, rooms, count // PROCESSES, over_api)

    acknowledged = defaultdict(dict)
    for told, _, _ in given:
        for room, name, made_from in told:
            acknowledged[room][name] = made_from
    for room in Room.objects.of(member.shop):
        mine = acknowledged[room.pk]
        assert room.version == before[room.pk] + len(mine), "as many versions as were acknowledged"
        changes = _notes_of(room)
        assert [after for _, after in changes] and {after for _, after in changes} == set(mine)
        assert len(changes) == len(mine), "each once"
        stood = ""
        for was, became in changes:
            assert was == stood == mine[became], "made from what stood there, and from what its writer had read"
            stood = became
        assert room.note == stood
    added = sorted(each for _, mine, _ in given for each in mine)
    assert sorted(PunchItem.objects.of(member.shop).values_list("room", "words")) == added
    return sum((answers for _, _, answers in given), Counter())


def _notes_of(room):
    rows = Entry.objects.of(room.shop).filter(what=Room._meta.db_table, record=str(room.pk), did="changed")
    pairs = rows.order_by("pk").values_list("before", "after")
    return [(json.loads(was)["note"], json.loads(became)["note"]) for was, became in pairs]


def test_of_what_eight_processes_were_told_nothing_is_lost():
    answers = written_by_all(count=160)
    assert answers[200] + answers[201] == 160
    assert answers[412] > 0, "nobody was ever too late: they did not write at the same time"


@pytest.mark.long
def test_of_twenty_thousand_writes_nothing_is_lost(capsys):
    """Every tenth over the API."""
    answers = written_by_all(count=20_000, over_api=10)
    assert answers[200] + answers[201] + answers["changed"] + answers["added"] == 20_000
    with capsys.disabled():
        print(f"\n20,000 acknowledged writes from {PROCESSES} processes: {dict(answers)}")
