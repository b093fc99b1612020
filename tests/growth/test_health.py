"""Three questions of health: does the process live, may it be sent requests, how does the whole stand."""

import datetime as dt
import json

import pytest
from django.db import OperationalError, connection
from django.utils import timezone

from projects.platform import health
from projects.work import signs, worker
from projects.work.models import Worker
from tests.factories import MemberFactory, WorkFactory

TOKEN = "a-long-enough-health-token"


@pytest.fixture
def deep(client, settings):
    settings.HEALTH_TOKEN = TOKEN
    return lambda: client.get("/healthz", headers={"Authorization": f"Bearer {TOKEN}"})


def gone(*args, **kwargs):
    raise OperationalError("could not connect to server at 10.1.2.3")


def test_whether_the_process_lives_is_asked_of_no_database(client):
    """Not marked for a database: a query would raise. The cookie is one that a session would be looked up by."""
    client.cookies["sessionid"] = "k" * 32
    answer = client.get("/livez")
    assert (answer.status_code, answer.content) == (200, b"alive\n")


@pytest.mark.parametrize("address", ["/livez", "/readyz"])
def test_who_asks_from_beside_the_server_knows_no_host_name_and_no_tls(client, settings, db, address):
    settings.SECURE_SSL_REDIRECT = True
    answer = client.get(address, headers={"host": "10.9.8.7:8000"})
    assert answer.status_code == 200
    assert answer.headers["Cache-Control"] == "no-store"
    assert len(answer.headers["X-Request-ID"]) == 24


def test_ready_with_everything_there(client, db):
    answer = client.get("/readyz")
    assert answer.json() == {"ready": True, "database": answer.json()["database"], "migrations": "ok", "disk": "ok"}
    assert answer.json()["database"] in ("ok", "warn")  # warn: a build of SQLite with its known fault


def test_not_ready_without_the_database_and_still_alive(client, db, monkeypatch):
    monkeypatch.setattr(connection, "cursor", gone)
    answer = client.get("/readyz")
    assert answer.status_code == 503
    assert (answer.json()["ready"], answer.json()["database"]) == (False, "failing")
    assert "10.1.2.3" not in answer.content.decode()
    assert client.get("/livez").status_code == 200


def test_not_ready_while_a_migration_is_missing(client, db, monkeypatch):
    monkeypatch.setattr(health, "_on_disk", lambda: frozenset({("work", "0099_not_applied")}))
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()["migrations"]) == (503, "failing")


@pytest.mark.parametrize("what", ["little left", "no folder"])
def test_not_ready_on_a_full_disk(client, db, settings, tmp_path, what):
    if what == "little left":
        settings.LEAST_FREE_MB = 10**12
    else:
        settings.VAR_DIR = tmp_path / "away"
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()["disk"]) == (503, "failing")


def test_the_whole_is_told_to_the_token_and_to_nobody_else(client, db, deep, settings):
    assert deep().status_code == 200
    for headers in ({}, {"Authorization": "Bearer "}, {"Authorization": f"Bearer {TOKEN}x"}):
        refused = client.get("/healthz", headers=headers)
        assert refused.status_code == 401 and "parts" not in refused.json()
    client.force_login(MemberFactory(role="owner").user)
    assert client.get("/healthz").status_code == 401, "an owner runs a shop, not the server"
    settings.HEALTH_TOKEN = ""
    assert deep().status_code == 401, "no token is set: none opens it"


def test_what_the_whole_tells(deep, db, settings):
    said = deep().json()
    assert {"state", "version", "python", "django", "parts"} <= set(said)
    assert {"database", "migrations", "disk", "long work"} <= set(said["parts"])
    text = json.dumps(said)
    hidden = (str(settings.VAR_DIR), settings.SECRET_KEY, TOKEN, str(connection.settings_dict["NAME"]))
    assert [secret for secret in hidden if secret in text] == []


def test_a_part_that_cannot_be_asked_is_told_as_failing(deep, db, monkeypatch):
    def broken():
        raise ValueError("the words of an error may hold anything")

    monkeypatch.setitem(health.PARTS, "broken", broken)
    answer = deep()
    assert (answer.status_code, answer.json()["state"]) == (503, "failing")
    assert answer.json()["parts"]["broken"] == {"state": "failing", "error": "ValueError"}


def test_an_sqlite_with_the_known_fault_is_told(db, monkeypatch):
    if connection.vendor != "sqlite":
        assert health.asked(health.PARTS["database"]).state == "ok"
        return
    for version, state in (((3, 51, 2), "warn"), ((3, 51, 3), "ok")):
        monkeypatch.setattr(health.sqlite3, "sqlite_version_info", version)
        assert health.asked(health.PARTS["database"]).state == state


def waiting(member, minutes):
    work = WorkFactory(shop=member.shop, state="waiting")
    type(work).objects.of(member.shop).update(beat=timezone.now() - dt.timedelta(minutes=minutes))


def test_work_that_waits_and_nobody_does_fails(db):
    member = MemberFactory()
    waiting(member, 2)
    assert signs.standing().state == "failing"
    with signs.Sign("a" * 32) as sign:
        sign.give()
        assert (signs.standing().state, signs.standing().facts["workers"]) == ("ok", 1)
        waiting(member, 16)
        assert signs.standing().state == "warn", "somebody works, and still it waits too long"


def test_a_worker_that_went_silent_counts_no_more(db):
    signs.Sign("b" * 32).give()
    assert signs.standing().facts["workers"] == 1
    Worker.objects.update(beat=timezone.now() - dt.timedelta(seconds=61))
    assert signs.standing().facts["workers"] == 0
    Worker.objects.update(beat=timezone.now() - dt.timedelta(days=2))
    signs.Sign("c" * 32).give()
    assert [row.name for row in Worker.objects.all()] == ["c" * 32]


@pytest.mark.django_db(transaction=True)
def test_a_worker_gives_its_sign_and_takes_it_back(monkeypatch):
    seen = []
    monkeypatch.setattr(worker, "take_up_again", lambda: seen.append(Worker.objects.count()))
    worker.run(until_idle=True)
    assert (seen, Worker.objects.count()) == ([1], 0)
