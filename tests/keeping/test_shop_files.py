"""A shop goes out as one file and comes in under other ids: the same shop, to the byte. What is odd is refused."""

import hashlib
import io
import json
import zipfile

import pytest
from django.apps import apps
from django.core.management import call_command

from layout.models import LayoutRevision, WayTaken
from layout.services import thawed
from projects.accounts.models import Membership, Shop, User
from projects.files import store
from projects.jobs.models import Room
from projects.keeping import leaving, shop_in, shop_out
from projects.keeping.models import KnownAs
from projects.keeping.shop_file import Refused
from projects.photos.models import Photo
from projects.platform.permissions import Role
from reports.bids.contents import kept
from reports.bids.models import BidRevision
from reports.rooms.models import SavedView
from reports.takeoffs.models import Takeoff
from reports.takeoffs.services import freeze, thaw
from tests.factories import (
    FACTORIES,
    Below,
    EntryKeptFactory,
    FixtureTypeFactory,
    MemberFactory,
    SavedViewFactory,
    WayTakenFactory,
)
from tests.keeping.conftest import PICTURE, filled_shop

JPEG = b"\xff\xd8\xff" + PICTURE


pytestmark = pytest.mark.usefixtures("db")

def as_file(shop):
    target = io.BytesIO()
    shop_out.write(shop, target)
    return target.getvalue()


def one_of_everything(shop):
    """Every record a shop can have, one of each at least; and those that hold ids inside a text."""
    room = Room.objects.of(shop).order_by("pk").first()
    owner = Membership.objects.filter(shop=shop, role=Role.OWNER).first()
    freeze(room.job, by=owner)
    for model in leaving.going_out():
        if model not in (Shop, User, Membership):
            made_in(shop, model)
    MemberFactory(shop=shop, user__email=None, user__name="By code")
    light = FixtureTypeFactory(shop=shop)
    changes = {"rows": 2, "light_type_id": light.pk, "speaker_type_id": None, "subwoofer_type_id": None}
    WayTakenFactory(room=room, by=owner, before=json.dumps({"changes": changes}, separators=(",", ":")))
    EntryKeptFactory(room=room, member=owner, data={"text": "Left the saw.", "room": room.pk})
    SavedViewFactory(member=owner, query=f"view=table&job={room.job_id}")
    photo = Photo.objects.of(shop).get(room=room)
    store.put(shop.pk, {photo.file: JPEG, photo.small: JPEG[:9]})


def made_in(shop, model):
    """By its factory, with the shop given to the highest record above it."""
    factory = FACTORIES[model]
    return factory(**{"shop" if issubclass(factory, Below) else _highest(model): shop})


def _highest(model):
    if model._meta.label == "checks.Answer":
        return "run__room__job__shop"  # a run's job is its room's
    above = [
        field
        for field in model._meta.concrete_fields
        if field.is_relation and not field.null and field.name != "shop" and leaving.way_to_shop(field.related_model)
        and field.related_model not in (User, Membership, model)
    ]  # fmt: skip
    nearest = min(above, key=lambda field: (_highest(field.related_model).count("__"), field.name), default=None)
    return f"{nearest.name}__{_highest(nearest.related_model)}" if nearest else leaving.way_to_shop(model)


@pytest.fixture(scope="module")
def moved(shop, django_db_blocker, tmp_path_factory):
    """The shop's file; and the shop as it came in beside two others, where all but one of its ids are taken."""
    with django_db_blocker.unblock():
        one_of_everything(shop)
        old = {"shop": shop.pk, "rooms": set(Room.everything.of(shop).values_list("pk", flat=True))}
        path = tmp_path_factory.mktemp("out") / "shop.zip"
        path.write_bytes(as_file(shop))
        again = as_file(shop)
        call_command("flush", verbosity=0, interactive=False)
        filled_shop("Another"), filled_shop("A third")
        known = MemberFactory(user__email="known@example.invalid").user
        return {"path": path, "again": again, "old": old, "came": shop_in.take_in(path), "known": known}


def test_every_record_either_goes_out_or_stays_for_a_reason():
    undecided = [
        model._meta.label
        for model in apps.get_models(include_auto_created=True)
        if not leaving.stays(model) and not leaving.way_to_shop(model)
    ]
    assert undecided == []


def test_nothing_named_a_secret_goes_out():
    told = {field.name for model in leaving.going_out() for field in leaving.fields_of(model)}
    assert told.isdisjoint({"password", "secret", "session_key", "last_login", "is_staff"})


def test_the_same_shop_gives_the_same_bytes(moved):
    assert moved["path"].read_bytes() == moved["again"]


def test_every_table_of_a_shop_is_tried_here(moved):
    with zipfile.ZipFile(moved["path"]) as file:
        about = json.loads(file.read("about.json"))
    assert [label for label, one in about["tables"].items() if not one["rows"]] == []


def test_a_shop_that_came_in_goes_out_again_as_the_same_bytes(moved):
    assert moved["came"].shop.pk != moved["old"]["shop"]
    assert as_file(moved["came"].shop) == moved["path"].read_bytes()


def test_no_room_has_an_id_here_by_which_a_kept_text_knows_another(moved):
    rooms = set(Room.everything.of(moved["came"].shop).values_list("pk", flat=True))
    assert len(rooms) == len(moved["old"]["rooms"])
    assert rooms.isdisjoint(KnownAs.objects.values_list("number", flat=True))


def test_its_files_came_with_it(moved):
    shop = moved["came"].shop
    photo = Photo.objects.of(shop).exclude(file__startswith="photo-").get()
    assert store.path_of(shop.pk, photo.file).read_bytes() == JPEG
    assert store.used_by(shop.pk) == len(JPEG) + 9


def test_its_layouts_and_its_kept_texts_come_out_the_same(moved):
    issued = LayoutRevision.objects.of(moved["came"].shop).filter(inputs__contains="engine").get()
    assert len(thawed(issued).arrangement.marks) == issued.marks.count() > 0
    sent = BidRevision.objects.of(moved["came"].shop).exclude(digest="").exclude(contents="{}").first()
    assert kept(sent)["bid"] == sent.bid.number


def test_a_kept_takeoff_names_the_rooms_by_their_ids_here_and_its_text_is_untouched(moved):
    shop = moved["came"].shop
    takeoff = Takeoff.objects.of(shop).exclude(body="{}").get()
    there = {room["room_id"] for room in json.loads(takeoff.body)["rooms"]}
    here = {room.room_id for room in thaw(takeoff).rooms}
    assert there <= moved["old"]["rooms"]
    assert here <= set(Room.objects.of(shop).filter(job=takeoff.job).values_list("pk", flat=True))
    assert KnownAs.objects.filter(shop=shop, number__in=there).count() == len(there) > 0


def test_ids_inside_other_texts_are_those_of_here(moved):
    shop = moved["came"].shop
    view = SavedView.objects.of(shop).get(query__contains="job=")
    assert Room.objects.of(shop).filter(job_id=int(view.query.rsplit("=", 1)[1])).exists()
    way = WayTaken.objects.filter(room__shop=shop).exclude(before="").get()
    assert FACTORIES and json.loads(way.before)["changes"]["light_type_id"] in set(
        apps.get_model("catalogue.FixtureType").objects.of(shop).values_list("pk", flat=True)
    )


def test_nobody_who_came_in_has_a_password(moved):
    people = User.objects.filter(memberships__shop=moved["came"].shop)
    assert people.exists()
    assert not any(person.has_usable_password() for person in people)


# What is refused


def altered(moved, tmp_path, **entries):
    """The file with entries written otherwise; None takes one out. Sums in about.json are made to agree."""
    target = tmp_path / "altered.zip"
    with zipfile.ZipFile(moved["path"]) as old, zipfile.ZipFile(target, "w") as new:
        for entry in old.infolist():
            content = entries.pop(entry.filename, old.read(entry))
            if content is not None:
                new.writestr(entry, content)
        for name, content in entries.items():
            new.writestr(name, content)
    return target


def told(moved):
    with zipfile.ZipFile(moved["path"]) as file:
        return json.loads(file.read("about.json"))


def table(moved, name):
    with zipfile.ZipFile(moved["path"]) as file:
        return [json.loads(line) for line in file.read(f"tables/{name}.jsonl").splitlines()]


def another(name):
    """Of the same length and ending, and nobody's."""
    stem, dot, ending = name.partition(".")
    return hashlib.sha256(stem.encode()).hexdigest()[: len(stem)] + dot + ending


def with_table(moved, tmp_path, name, rows, *, fresh=True):
    """Tokens and names that stand once are given anew, so that nothing but the change is refused."""
    entries, about = {}, told(moved)
    for label in about["tables"]:
        lines = rows if label == name else table(moved, label)
        for row in lines if fresh else ():
            for column in ("token", "file", "small"):
                if row.get(column):
                    row[column] = another(row[column])
        text = "".join(json.dumps(row) + "\n" for row in lines).encode()
        entries[f"tables/{label}.jsonl"] = text
        about["tables"][label] = {"rows": len(lines), "sha256": hashlib.sha256(text).hexdigest()}
    renamed = {another(old): one for old, one in about["files"].items()}
    with zipfile.ZipFile(moved["path"]) as file:
        for old in about["files"]:
            entries[f"files/{another(old)}"] = file.read(f"files/{old}")
            entries[f"files/{old}"] = None
    about["files"], about["missing"] = renamed, [another(old) for old in about["missing"]]
    entries["about.json"] = json.dumps(about).encode()
    return altered(moved, tmp_path, **entries)


def refused(path):
    shops, folders = Shop.objects.count(), {*store.folder_of(0).parent.iterdir()}
    with pytest.raises(Refused) as why:
        shop_in.take_in(path)
    assert Shop.objects.count() == shops
    assert {*store.folder_of(0).parent.iterdir()} == folders
    return str(why.value)


def test_the_same_file_with_names_of_its_own_comes_in_as_another_shop(moved, tmp_path):
    """The ground under every refusal below: unchanged, the same is taken."""
    done = shop_in.take_in(with_table(moved, tmp_path, "", []), dry_run=True)
    assert done.rows == moved["came"].rows


def test_a_shop_that_is_here_already_is_refused(moved):
    assert "is this shop here?" in refused(moved["path"])


def test_a_flipped_bit_is_refused(moved, tmp_path):
    content = bytearray(moved["path"].read_bytes())
    content[len(content) // 2] ^= 1
    target = tmp_path / "flipped.zip"
    target.write_bytes(content)
    assert refused(target)


@pytest.mark.parametrize(
    ("name", "change", "said"),
    [
        ("jobs.Room", {"name": 5}, "tables/jobs.Room.jsonl, line 1: name: text stands here"),
        ("jobs.Room", {"job": 10**9}, "line 1: job: a row of jobs.Job stands here, from 1 to"),
        ("jobs.Room", {"job": True}, "line 1: job: a row of jobs.Job stands here"),
        ("jobs.Room", {"stage": 10**6}, "line 1: the database refuses it"),
        ("jobs.Room", {"name": "Snug\u202e"}, "line 1: name: the text holds marks that can't be seen"),
        ("jobs.Room", {"n": 2}, "line 1: n: 1 stands here"),
        ("jobs.Room", {"shop_id": 1}, "line 1: 'shop_id' stands there alone"),
        ("jobs.Reading", {"value": 1.5}, "line 1: value: a whole number stands here"),
        ("accounts.User", {"is_active": 1}, "line 1: is_active: true or false stands here"),
        ("bids.BidLine", {"material": "1e3"}, "line 1: material: a number with 2 places stands here"),
        ("photos.Photo", {"taken_at": "2026-05-03T12:00:00"}, "line 1: taken_at: a time stands here with its zone"),
    ],
)
def test_a_row_that_is_odd_is_told_by_its_line(moved, tmp_path, name, change, said):
    rows = table(moved, name)
    rows[0] = rows[0] | change
    assert said in refused(with_table(moved, tmp_path, name, rows))


def test_a_table_that_was_changed_without_its_sum_is_refused(moved, tmp_path):
    rows = table(moved, "accounts.Shop")
    rows[0]["name"] = "Somebody else's"
    path = altered(moved, tmp_path, **{"tables/accounts.Shop.jsonl": json.dumps(rows[0]).encode() + b"\n"})
    assert "changed since it was written" in refused(path)


def test_a_file_outside_the_folder_is_refused(moved, tmp_path):
    assert "does not belong" in refused(altered(moved, tmp_path, **{"files/../../x.jpg": b"x"}))


def test_a_file_nobody_told_of_is_refused(moved, tmp_path):
    assert "not in both" in refused(altered(moved, tmp_path, **{"files/more.jpg": JPEG}))


def test_a_file_that_is_no_picture_is_refused(moved, tmp_path):
    name = next(iter(told(moved)["files"]))
    page = b"<script>alert(1)</script>"
    assert "is not what its name says" in refused_files(moved, tmp_path, name, page)


def refused_files(moved, tmp_path, name, content):
    path = with_table(moved, tmp_path, "", [])
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(tmp_path / "b.zip", "w") as new:
        for entry in old.infolist():
            new.writestr(entry, content if entry.filename == f"files/{another(name)}" else old.read(entry))
    return refused(tmp_path / "b.zip")


def test_a_file_that_unpacks_to_much_more_is_refused(moved, tmp_path):
    bomb = zipfile.ZipInfo("tables/jobs.Room.jsonl")
    path = altered(moved, tmp_path, **{"tables/jobs.Room.jsonl": None})
    bomb.compress_type = zipfile.ZIP_DEFLATED
    with zipfile.ZipFile(path, "a") as file:
        file.writestr(bomb, b" " * 50_000_000)
    assert "unpacks to more than" in refused(path)


def test_what_is_no_shops_file_is_refused(tmp_path):
    (tmp_path / "x.zip").write_bytes(b"PK\x03\x04 not really")
    assert "no shop's file" in refused(tmp_path / "x.zip")


def test_a_dry_run_leaves_nothing(moved, tmp_path):
    shops, folders = Shop.objects.count(), {*store.folder_of(0).parent.iterdir()}
    done = shop_in.take_in(with_table(moved, tmp_path, "", []), dry_run=True)
    assert done.files == 2
    assert Shop.objects.count() == shops
    assert {*store.folder_of(0).parent.iterdir()} == folders
