"""The disk fills up under a server: what can't be kept is refused with 507 or 503, and once there is room all goes on.

The limit is RLIMIT_FSIZE, set on the running process and lifted again: no file grows past it, as on a full disk.
"""

import io
import json
import random
import resource
from pathlib import Path

import pytest
from django.db import connection
from PIL import Image

from projects.files.models import KeptBytes
from projects.jobs.models import Room
from projects.photos.models import Photo
from tests.faults.servers import as_form, no_damage, serving
from tests.faults.test_killed_servers import Site
from tests.growth.processes import ask

pytestmark = pytest.mark.django_db(transaction=True)
KB = 1000
FULL = (507, 503)


def limit(server, most):
    [worker] = server.workers()
    resource.prlimit(worker, resource.RLIMIT_FSIZE, (most, resource.RLIM_INFINITY))


def send(server, site, path, body, content_type="application/json"):
    headers = {"Authorization": f"Bearer {site.secret}", "Content-Type": content_type}
    status, headers, told = ask(server.port, path, method="POST", body=body, headers=headers)
    told = json.loads(told)
    if status >= 500:
        assert headers["Content-Type"] == "application/problem+json"
        assert told["request_id"] == headers["X-Request-ID"] and "Traceback" not in json.dumps(told)
    return status


def large_photo():
    """Noise, which no packing makes small: over 300 kB as it is kept."""
    file = io.BytesIO()
    Image.frombytes("RGB", (900, 700), random.Random(8).randbytes(900 * 700 * 3)).save(file, "PNG")
    return as_form({"purpose": "wall", "caption": "noise"}, {"photos": file.getvalue()})


def test_a_photo_that_finds_no_room_leaves_no_record_and_no_file_and_is_kept_once_there_is(tmp_path):
    site = Site()
    shop, (body, kind) = site.member.shop, large_photo()
    path, media = f"/api/v1/rooms/{site.room.pk}/photos/", Path(tmp_path) / "media" / str(shop.pk)
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")  # the file of what is newly written begins anew
    with serving(tmp_path, 1) as server:
        limit(server, 250 * KB)
        assert send(server, site, path, body, kind) in FULL
        assert not Photo.objects.of(shop).exists()
        assert not media.exists() or list(media.iterdir()) == []
        assert not KeptBytes.objects.filter(pk=shop.pk, used__gt=0).exists()

        limit(server, resource.RLIM_INFINITY)
        assert send(server, site, path, body, kind) == 201, "without being started anew"
    [photo] = Photo.objects.of(shop)
    assert sum(file.stat().st_size for file in media.iterdir()) == photo.bytes > 250 * KB
    site.nothing_is_half(media.parent)


@pytest.mark.skipif("connection.vendor != 'sqlite'", reason="PostgreSQL writes to the disk of its own server")
def test_a_database_that_finds_no_room_refuses_stays_whole_and_goes_on(tmp_path):
    site, names = Site(), []
    path = f"/api/v1/jobs/{site.job.pk}/rooms/"

    def add(n):
        status = send(server, site, path, json.dumps({"name": f"R{n}"}).encode())
        if status == 201:
            names.append(f"R{n}")
        return status

    with serving(tmp_path, 1) as server:
        assert add(0) == 201
        limit(server, 8 * KB)  # less than the file has already: not one page more
        refused = [add(n) for n in range(1, 4)]
        assert set(refused) <= set(FULL), refused
        headers = {"Authorization": f"Bearer {site.secret}"}
        assert ask(server.port, path, headers=headers)[0] == 200, "what is there is still read"
        limit(server, resource.RLIM_INFINITY)
        assert [add(n) for n in range(1, 4)] == [201, 201, 201]
    stored = Room.objects.of(site.member.shop).filter(job=site.job).exclude(pk=site.room.pk)
    assert sorted(stored.values_list("name", flat=True)) == names == ["R0", "R1", "R2", "R3"]
    no_damage()
