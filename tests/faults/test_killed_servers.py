"""Servers of several processes are killed in the middle of requests: what they said they kept is there, all or nothing.

Acknowledged is what a client was told with 2xx. What nobody answered is sent again with its key and done exactly once.
"""

import io
import json
import random
import time
from collections import Counter
from datetime import timedelta

import pytest
from django.utils import timezone
from PIL import Image

from projects.files.models import KeptBytes
from projects.history.models import Entry
from projects.jobs.models import MeasurementSet, Reading, Room
from projects.photos.models import Photo
from projects.traffic.models import KeptAnswer
from tests.api.houses import token_of
from tests.factories import JobFactory, MemberFactory, RoomFactory
from tests.faults.servers import Asked, Clients, as_form, no_damage, serving
from tests.growth.processes import wait_for

pytestmark = pytest.mark.django_db(transaction=True)
TOGETHER = 5  # rooms of one request
VISIT = {
    "kind": "framing", "taken_on": "2026-05-03", "instrument": "tape",
    "readings": {"door": [{"value": "166 in"}], "left": [{"value": "93 in"}]},
}  # fmt: skip


class Site:
    """A job and a room that clients write to."""

    def __init__(self):
        self.member = MemberFactory(role="owner")
        self.secret = token_of(self.member)
        self.job = JobFactory(shop=self.member.shop)
        self.room = RoomFactory(job=self.job, name="Snug")

    @property
    def makes(self):
        return [self.rooms, self.rooms, self.visit, self.photo]

    def rooms(self, chance):
        name = f"R{chance.getrandbits(60):x}"
        items = [{"name": f"{name} {n}"} for n in range(TOGETHER)]
        return Asked("rooms", name, f"/api/v1/jobs/{self.job.pk}/rooms/bulk/", json.dumps({"items": items}).encode())

    def visit(self, chance):
        name = f"V{chance.getrandbits(60):x}"
        body = json.dumps(VISIT | {"taken_by": name}).encode()
        return Asked("visit", name, f"/api/v1/rooms/{self.room.pk}/measurements/", body)

    def photo(self, chance):
        name, file = f"P{chance.getrandbits(60):x}", io.BytesIO()
        Image.frombytes("RGB", (16, 12), chance.randbytes(16 * 12 * 3)).save(file, "PNG")
        body, kind = as_form({"purpose": "wall", "caption": name}, {"photos": file.getvalue()})
        return Asked("photo", name, f"/api/v1/rooms/{self.room.pk}/photos/", body, kind)

    def visits(self):
        return MeasurementSet.objects.filter(room__job=self.job)

    def stored(self):
        """How many records each request's name has: rooms, visits with all they hold, photos."""
        shop = self.member.shop
        found = {"rooms": Counter(), "visit": Counter(), "photo": Counter()}
        for name in Room.objects.of(shop).filter(job=self.job).exclude(pk=self.room.pk).values_list("name", flat=True):
            found["rooms"][name.split()[0]] += 1
        for name in self.visits().values_list("taken_by", flat=True):
            found["visit"][name] += 1
        for name in Photo.objects.of(shop).values_list("caption", flat=True):
            found["photo"][name] += 1
        return found

    def nothing_is_half(self, media):
        """Records that go together are there together, and so are files, their bytes, and the shop's count of them."""
        shop = self.member.shop
        assert set(self.stored()["rooms"].values()) <= {TOGETHER}
        sets = self.visits().values_list("pk", flat=True)
        per_set = Counter(Reading.objects.filter(measurement_set__in=sets).values_list("measurement_set", flat=True))
        assert set(per_set) == set(sets) and set(per_set.values()) <= {2}
        photos = list(Photo.objects.of(shop))
        for photo in photos:
            sizes = [(media / str(shop.pk) / name).stat().st_size for name in (photo.file, photo.small)]
            assert min(sizes) > 0 and sum(sizes) == photo.bytes
            Image.open(media / str(shop.pk) / photo.file).load()
        used = KeptBytes.objects.filter(pk=shop.pk).values_list("used", flat=True).first() or 0
        assert used == sum(photo.bytes for photo in photos)
        told = Entry.objects.of(shop).filter(what=Room._meta.db_table, did="added").values_list("record", flat=True)
        made = Room.objects.of(shop).filter(job=self.job).values_list("pk", flat=True)
        assert sorted(map(int, told)) == sorted(made), "the history tells of each room that is there, and of no other"


def whole(kind):
    return TOGETHER if kind == "rooms" else 1


def kill_while_they_write(site, folder, kills, seed):
    """The ledger after so many kills; the last takes the whole server with it."""
    chance = random.Random(seed)
    with serving(folder) as server, Clients(server.port, site.secret, site.makes, seed=seed) as clients:
        for n in range(kills):
            before = clients.kept()
            wait_for(lambda before=before: clients.kept() >= before + 3, "clients are told that it is kept")
            time.sleep(chance.uniform(0, 0.15))
            server.kill_all() if n == kills - 1 else server.kill_workers()
        clients.end()
    return clients.asked


def killed_and_looked_over(folder, kills, seed=8):
    site = Site()
    asked = kill_while_they_write(site, folder, kills, seed)
    cut = [one for one in asked if one.status is None]
    assert cut, "no kill came in the middle of a request"
    assert {one.status for one in asked} <= {None, 201}, Counter(one.status for one in asked)

    no_damage()
    found = site.stored()
    lost = [one.name for one in asked if one.kept and found[one.kind][one.name] != whole(one.kind)]
    assert lost == [], "said to be kept, and not there"
    half = [one.name for one in cut if found[one.kind][one.name] not in (0, whole(one.kind))]
    assert half == []
    site.nothing_is_half(folder / "media")

    # Whoever got no answer asks again with the same key, once nobody can be working on it any more.
    KeptAnswer.objects.every_shop().update(begun_at=timezone.now() - timedelta(minutes=3))
    done_unheard = sum(found[one.kind][one.name] > 0 for one in cut)
    with serving(folder, 1) as server:
        for one in cut:
            assert one.send(server.port, site.secret).status == 201, one.told
    found = site.stored()
    assert all(found[one.kind][one.name] == whole(one.kind) for one in asked), "each once, whether heard or not"
    assert sum(found["visit"].values()) + sum(found["photo"].values()) + len(found["rooms"]) == len(asked)
    site.nothing_is_half(folder / "media")
    no_damage()
    return len(asked), len(cut), done_unheard


def test_killed_in_the_middle_nothing_that_was_said_to_be_kept_is_lost_and_nothing_is_half(tmp_path):
    killed_and_looked_over(tmp_path, kills=12)


@pytest.mark.long
def test_killed_two_hundred_times(tmp_path, capsys):
    asked, cut, done = killed_and_looked_over(tmp_path, kills=200, seed=200)
    with capsys.disabled():
        print(f"\n200 kills: {asked} requests, {cut} cut, of those {done} were kept though nobody heard of it")
