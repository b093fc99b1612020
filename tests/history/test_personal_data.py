"""A person gets a copy of what is kept of them; erased, they are named nowhere but where the law of books keeps it."""

import json
from io import StringIO
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client
from django.urls import reverse

from projects.accounts.models import User
from projects.history import chain
from projects.history.erasing import CannotBeErased, erase
from projects.history.models import Entry
from projects.platform.permissions import Role
from projects.platform.speaking import speaking
from tests.factories import (
    ApiTokenFactory,
    BidRevisionFactory,
    FixtureTypeFactory,
    MeasurementSetFactory,
    MemberFactory,
    RoomFactory,
    ShopFactory,
    UserFactory,
    WorkFactory,
)
from tests.shops import sign_in

pytestmark = pytest.mark.django_db

NAME, MAIL = "Quillon Zabriskie-Ode", "quillon.zo@ridge.example"  # nobody's; found nowhere else


@pytest.fixture
def shop(db):
    shop = ShopFactory()
    MemberFactory(shop=shop, role=Role.OWNER)
    return shop


@pytest.fixture
def person(shop):
    member = MemberFactory(shop=shop, role=Role.CREW, user=UserFactory(name=NAME, email=MAIL))
    ApiTokenFactory(member=member)
    with speaking(shop=shop.pk, member=member.pk, user=member.user_id, via="page"):
        room = RoomFactory(shop=shop, note=f"Ask {NAME.upper()} about the soffit.")
        MeasurementSetFactory(room=room, taken_by=NAME, entered_by=member)
    FixtureTypeFactory(shop=shop, cutout_verified_by=NAME, cutout_verified_on="2026-03-01")
    WorkFactory(shop=shop, arguments=json.dumps({"letter to": MAIL}), asked_by=member)
    return member


def everything_stored():
    """Every row of every table, Django's own too, as one text; and every file that was kept."""
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f'SELECT * FROM "{table}"')
            yield from (f"{table}: {row}" for row in cursor.fetchall())


def naming(*words):
    return [row for row in everything_stored() if any(word.casefold() in row.casefold() for word in words)]


def test_the_name_stands_in_records_and_in_their_history_before(person):
    tables = {row.partition(":")[0] for row in naming(NAME, MAIL)}
    assert tables >= {"accounts_user", "jobs_room", "jobs_measurementset", "work_work", "history_entry"}


def test_erased_the_name_is_in_no_table(person):
    sign_in(Client(), person)
    done = erase(person.user)
    assert naming(NAME, MAIL) == []
    assert done.kept == [] and done.texts >= 4 and done.entries >= 4


def test_what_they_did_stays_under_another_name_and_the_chain_holds(person, shop):
    chain.seal()
    before = Entry.objects.of(shop).filter(user_id=person.user_id).count()
    erase(person.user)
    assert Entry.objects.of(shop).filter(user_id=person.user_id).count() >= before > 0
    chain.seal()
    assert chain.verify().findings == []


def test_a_text_changed_under_the_cover_of_an_erasure_is_found(person, shop):
    """Only what was told by an entry of its own is taken for an erasure."""
    erase(person.user)
    chain.seal()
    entry = Entry.objects.of(shop).filter(redacted="").exclude(did="erased").first()
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name FROM sqlite_master WHERE type='trigger' AND name LIKE 'history_fixed_u%'")
            for (name,) in cursor.fetchall():
                cursor.execute(f'DROP TRIGGER "{name}"')
        else:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute("ALTER TABLE history_entry DISABLE TRIGGER USER")
        entry.after = "{}"
        redacted = chain._digest(entry.shop_id, [
            entry.at, (entry.job_id, entry.room_id), entry.what, entry.record, entry.did, entry.before, "{}",
            entry.member_id, entry.user_id, entry.via, entry.request,
        ])  # fmt: skip
        cursor.execute("UPDATE history_entry SET after='{}', redacted=%s WHERE id=%s", [redacted, entry.pk])
    assert [each.entry for each in chain.verify().findings] == [entry.pk]


def test_they_sign_in_no_more_and_their_sessions_and_tokens_end(person):
    client = sign_in(Client(), person)
    assert client.get(reverse("jobs")).status_code == 200
    erase(person.user)
    assert client.get(reverse("jobs")).status_code == 302
    assert not person.tokens.filter(ended_at=None).exists()
    assert not User.objects.get(pk=person.user_id).has_usable_password()


def test_what_was_sent_to_a_client_stays_and_is_told_by_name(person, shop):
    revision = BidRevisionFactory(shop=shop)
    body = json.dumps({"prepared by": NAME})
    with connection.cursor() as cursor:  # as it would stand after sending; the rules of sending are not the matter here
        if connection.vendor == "sqlite":
            cursor.execute("PRAGMA ignore_check_constraints = ON")
        else:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute("ALTER TABLE bids_bidrevision DROP CONSTRAINT bid_revision_sent_is_kept")
        cursor.execute("UPDATE bids_bidrevision SET contents = %s WHERE id = %s", [body, revision.pk])
        if connection.vendor == "sqlite":
            cursor.execute("PRAGMA ignore_check_constraints = OFF")
    done = erase(person.user)
    kept = [(table, pk, column) for table, pk, column, _ in done.kept]
    assert kept == [("bids.BidRevision", revision.pk, "contents")]
    assert {row.partition(":")[0] for row in naming(NAME)} <= {"bids_bidrevision", "history_entry"}


def test_a_namesakes_texts_are_left_alone_and_told(person, shop):
    MemberFactory(shop=shop, user=UserFactory(name=NAME, email="other@ridge.example"))
    done = erase(person.user)
    assert {table for table, *_ in done.kept} >= {"jobs.Room", "jobs.MeasurementSet"}
    assert User.objects.get(pk=person.user_id).name != NAME


def test_a_shop_they_never_worked_in_keeps_their_name_on_its_door(person):
    other = ShopFactory(name=f"{NAME} & Daughters")
    own = ShopFactory(name=f"Lights by {NAME}")
    MemberFactory(shop=own, user=person.user)
    MemberFactory(shop=own, role=Role.OWNER)
    erase(person.user)
    other.refresh_from_db(), own.refresh_from_db()
    assert other.name == f"{NAME} & Daughters"
    assert own.name == f"Lights by Person {person.user_id}"


def test_the_last_owner_is_not_erased(shop):
    with pytest.raises(CannotBeErased, match="without an owner"):
        erase(shop.members.get(role=Role.OWNER).user)


def test_a_dry_run_says_what_would_be_done_and_does_nothing(person):
    out = StringIO()
    call_command("erase_person", MAIL, "--dry-run", stdout=out)
    assert "Would be" in out.getvalue()
    assert User.objects.get(pk=person.user_id).name == NAME


def test_the_copy_has_the_person_their_rows_their_texts_and_what_they_did(person, tmp_path):
    file = tmp_path / "copy.json"
    call_command("export_person", MAIL, "--out", str(file), stdout=StringIO())
    told = json.loads(file.read_text())
    assert (told["person"]["name"], told["person"]["email"]) == (NAME, MAIL)
    assert {row["what"] for row in told["named_by_key"]} >= {"accounts.Membership", "accounts.ApiToken", "work.Work"}
    assert {row["what"] for row in told["named_in_words"]} >= {"jobs.Room", "jobs.MeasurementSet", "work.Work"}
    assert {entry["what"] for entry in told["did"]} >= {"jobs_room", "jobs_measurementset"}
    secrets = [person.user.password, *person.tokens.values_list("digest", flat=True)]
    assert not any(secret in file.read_text() for secret in secrets)
    assert file.stat().st_mode & 0o077 == 0


def test_nobody_of_that_name_is_said(db):
    with pytest.raises(CommandError, match="Nobody here"):
        call_command("export_person", "nobody@ridge.example", "--out", "x")


def test_a_person_takes_their_own_copy_from_a_page_without_what_the_rows_say(person):
    client = sign_in(Client(), person)
    assert "Download it" in client.get(reverse("own_data")).content.decode()
    answer = client.post(reverse("own_data"))
    assert answer["Content-Disposition"].startswith("attachment")
    told = answer.json()
    assert told["person"]["name"] == NAME
    assert all(row["row"].keys() <= {"at", "on", "created_at", "entered_at", "taken_at", "taken_on"}
               for row in told["named_by_key"] + told["named_in_words"])  # fmt: skip


def test_no_file_that_is_kept_has_a_name_in_it(person):
    """Photos are written anew without what a camera wrote into them (tests/photos)."""
    erase(person.user)
    root = Path(settings.VAR_DIR)
    kept = [path for path in root.glob("media/**/*") if path.is_file()]
    assert [path for path in kept if NAME.encode() in path.read_bytes()] == []
