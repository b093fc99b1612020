"""Whatever way a row is written, the history has who, what, before and after, and keeps no secret."""

import datetime as dt
import hashlib

import pytest
from django.apps import apps
from django.contrib.auth.hashers import make_password
from django.db import connection, transaction

from projects.accounts.models import ApiToken, User
from projects.history import install
from projects.history.flags import without_history
from projects.history.models import Entry
from projects.history.recorded import LEFT_OUT, tables
from projects.jobs.models import Room, StageEvent
from projects.platform.parts import PARTS
from projects.platform.speaking import speaking
from tests.factories import (
    ApiTokenFactory,
    ClientLinkFactory,
    MemberFactory,
    ReadingFactory,
    RoomFactory,
    ShopFactory,
    WorkFactory,
)

pytestmark = pytest.mark.django_db


def test_a_row_added_changed_and_removed(entries):
    room = RoomFactory(name="Kitchen")
    room.name = "Galley"
    room.save()
    left = Room.everything.of(room.shop).filter(pk=room.pk)
    left.update(note="Door to come")
    left.delete()
    added, named, noted, removed = entries("jobs_room")
    assert (added[0], added[1], added[2]["name"]) == ("added", None, "Kitchen")
    assert named == ("changed", {"name": "Kitchen"}, {"name": "Galley"})
    assert noted == ("changed", {"note": ""}, {"note": "Door to come"})
    assert (removed[0], removed[1]["name"], removed[2]) == ("removed", "Galley", None)


def test_many_rows_at_once_and_a_statement_typed_into_the_database(entries):
    room = RoomFactory()
    StageEvent.objects.bulk_create(
        StageEvent(room=room, came_from=1, went_to=2, at=dt.datetime(2026, 3, 1, tzinfo=dt.UTC)) for _ in range(30)
    )
    assert [did for did, *_ in entries("jobs_stageevent")] == ["added"] * 30
    with connection.cursor() as cursor:
        cursor.execute("UPDATE jobs_room SET level = '2'")
    assert entries("jobs_room")[-1][2] == {"level": "2"}


def test_who_spoke_for_which_shop_and_how():
    shop = ShopFactory()
    member = MemberFactory(shop=shop)
    with speaking(shop=shop.pk, member=member.pk, user=member.user_id, via="page", request="7f3a"):
        room = RoomFactory(shop=shop)
    said = Entry.objects.of(shop).get(what="jobs_room", record=str(room.pk))
    assert (said.member_id, said.user_id, said.via, said.request) == (member.pk, member.user_id, "page", "7f3a")
    assert (said.room_id, said.job_id) == (room.pk, room.job_id)
    RoomFactory(shop=shop)
    assert Entry.objects.of(shop).filter(what="jobs_room").latest("pk").via == ""


def test_what_hangs_far_below_is_its_shops_and_its_rooms():
    reading = ReadingFactory()
    room = reading.measurement_set.room
    said = Entry.objects.of(room.shop).get(what="jobs_reading", record=str(reading.pk))
    assert (said.shop_id, said.job_id, said.room_id) == (room.shop_id, room.job_id, room.pk)


def test_what_does_not_change_is_not_told(entries):
    room = RoomFactory()
    Room.objects.of(room.shop).update(note=room.note)
    room.save()  # the time of saving moves, and nothing else
    assert [did for did, *_ in entries("jobs_room")] == ["added"]


def test_what_is_rolled_back_was_never_told(entries):
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        RoomFactory()
        raise ZeroDivisionError
    assert entries("jobs_room") == []


def test_who_speaks_is_still_known_after_a_part_was_rolled_back():
    """A database that was told inside a savepoint forgets it with the savepoint."""
    with speaking(via="page", user=41):
        with pytest.raises(ZeroDivisionError), transaction.atomic():
            RoomFactory()
            raise ZeroDivisionError
        room = RoomFactory()
    assert Entry.objects.of(room.shop).get(what="jobs_room", record=str(room.pk)).user_id == 41


def test_a_secret_is_told_as_changed_and_never_written_down(entries):
    user = MemberFactory().user
    User.objects.filter(pk=user.pk).update(password=make_password("a long enough one"))
    token = ApiTokenFactory()
    ApiToken.objects.filter(pk=token.pk).update(digest=hashlib.sha256(b"another").hexdigest())
    link = ClientLinkFactory()
    (only,) = (each for each in entries("accounts_user") if each[0] == "changed")
    assert only[1:] == ({"password": "…"}, {"password": "…"})
    assert entries("accounts_apitoken")[-1][1:] == ({"digest": "…"}, {"digest": "…"})
    assert entries("bids_clientlink")[-1][2]["token"] == "…"
    all_of_it = " ".join(b + a for b, a in Entry.objects.every_shop().values_list("before", "after"))
    for secret in (user.password, token.digest, link.token):
        assert secret not in all_of_it


def test_a_long_text_is_told_by_its_digest(entries):
    """SHA-256 of 5,000 letters a, worked out by sha256sum."""
    work = WorkFactory()
    type(work).objects.of(work.shop).filter(pk=work.pk).update(result="a" * 5000)
    assert entries("work_work")[-1][2] == {
        "result": {
            "characters": 5000,
            "sha256": "c526c6222044dab5674de9c4ac7f4566ebb5e4d8bf9d8ea34c9cc8a7cc3c869c",
        }
    }


def test_nothing_is_told_where_it_was_said_so(entries):
    with without_history():
        RoomFactory()
    assert entries("jobs_room") == []


def test_an_entry_can_be_neither_changed_nor_taken_out():
    RoomFactory()
    for statement in ("UPDATE history_entry SET after = ''", "DELETE FROM history_entry"):
        with pytest.raises(Exception, match="The history is only added to"), transaction.atomic():
            connection.cursor().execute(statement)


def test_every_table_of_ours_is_told_or_left_out_with_a_reason():
    ours = {
        model._meta.label
        for model in apps.get_models(include_auto_created=True)
        if model._meta.app_config.name.split(".")[0] in PARTS
    }
    told = {table.name for table in tables()}
    assert {label for label in ours if apps.get_model(label)._meta.db_table not in told} == ours & set(LEFT_OUT)
    assert install.missing() == []


def test_the_triggers_are_made_anew_where_one_was_lost():
    """As SQLite does when a migration rebuilds a table."""
    drop = "DROP TRIGGER {name}" if connection.vendor == "sqlite" else "DROP TRIGGER {name} ON jobs_room"
    find = (
        "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'jobs_room' AND name LIKE 'history%'"
        if connection.vendor == "sqlite"
        else "SELECT tgname FROM pg_trigger WHERE tgrelid = 'jobs_room'::regclass AND tgname LIKE 'history%'"
    )
    with connection.cursor() as cursor:
        cursor.execute(find)
        names = [name for (name,) in cursor.fetchall()]
        for name in names:
            cursor.execute(drop.format(name=f'"{name}"'))
    assert install.missing() == ["jobs_room"]
    assert install.install() == len(names)
    assert install.missing() == []
    assert install.install() == 0
