"""A backup is whole and of one moment, whatever is written meanwhile; what is damaged is not put back."""

import gzip
import json
import shutil
import sqlite3
import threading
from contextlib import contextmanager

import pytest
from django.db import connection, transaction

from projects.accounts.models import Shop
from projects.files import store
from projects.keeping import backup, drill, manifest, restore
from projects.keeping.models import BackupMade
from projects.photos.models import Photo
from tests.keeping.conftest import PICTURE

pytestmark = pytest.mark.usefixtures("db")


def names_of_shops(folder):
    """The shops' names as the backup has them, read without any of its own code."""
    if connection.vendor == "sqlite":
        with sqlite3.connect(folder / "database.sqlite3") as kept:
            return {row[0] for row in kept.execute("SELECT name FROM accounts_shop")}
    told = json.loads((folder / "manifest.json").read_text())["tables"]["accounts_shop"]["columns"]
    lines = gzip.decompress((folder / "accounts_shop.copy.gz").read_bytes()).decode().splitlines()
    return {line.split("\t")[told.index("name")] for line in lines}


@contextmanager
def renamed_together(shop):
    """Two shops that always bear the same name, and another one many times a second. How often so far."""
    twins = [Shop.objects.create(name="0"), Shop.objects.create(name="0")]
    stop, wrote = threading.Event(), []

    def rename():
        number = 0
        while not stop.is_set():
            number += 1
            with transaction.atomic():
                for one in twins:
                    Shop.objects.filter(pk=one.pk).update(name=str(number))
            wrote.append(number)
            stop.wait(0.002)
        connection.close()

    writer = threading.Thread(target=rename)
    writer.start()
    try:
        yield wrote
    finally:
        stop.set()
        writer.join()
        Shop.objects.exclude(pk=shop.pk).delete()


def test_a_backup_is_of_one_moment_while_shops_are_renamed_together(shop, tmp_path):
    """A backup that shows two names was of two moments."""
    with renamed_together(shop) as wrote:
        seen = [names_of_shops(tmp_path / "kept" / backup.make(tmp_path / "kept").name) for _ in range(5)]
    assert len(wrote) > 5, "nothing was written meanwhile"
    assert [len(names - {shop.name}) for names in seen] == [1] * 5


@pytest.mark.long
def test_fifty_backups_made_while_others_write_are_each_put_back(shop, tmp_path):
    with renamed_together(shop) as wrote:
        for number in range(1, 51):
            made = tmp_path / backup.make(tmp_path).name
            assert len(names_of_shops(made) - {shop.name}) == 1
            receipt = drill.drill(tmp_path)
            assert receipt.held, (number, receipt.report)
            backup.forget_old(tmp_path, 3)
    print(f"{number} put back while {len(wrote)} were written")


def test_a_backup_names_what_it_holds_and_the_keys_it_does_not(shop, tmp_path, settings):
    made = backup.make(tmp_path)
    told = manifest.read(tmp_path / made.name)
    assert {one.name for one in told.files} == {*Photo.objects.of(shop).values_list("file", "small").get()}
    assert told.tables["accounts_shop"]["rows"] == 1
    assert told.keys[0]["name"] == "CEILINGBOOK_SECRET_KEY"
    assert settings.SECRET_KEY not in (tmp_path / made.name / "manifest.json").read_text()
    assert made.missing == 0


def test_the_next_backup_writes_only_files_that_are_new(shop, tmp_path):
    first, stored = backup.make(tmp_path), tmp_path / "files"
    before = {path: path.stat().st_mtime_ns for path in stored.glob("??/*")}
    backup.make(tmp_path)
    assert {path: path.stat().st_mtime_ns for path in stored.glob("??/*")} == before
    assert len(before) == first.files == 2


def test_a_file_that_is_gone_is_told_and_the_rest_is_kept(shop, tmp_path):
    gone = Photo.objects.of(shop).get().file
    store.remove_files(shop.pk, [gone])
    made = backup.make(tmp_path)
    store.put(shop.pk, {gone: PICTURE})
    assert (made.files, made.missing) == (1, 1)
    assert manifest.read(tmp_path / made.name).missing == [gone]


def test_old_backups_go_with_the_files_that_only_they_named(shop, tmp_path):
    first = backup.make(tmp_path)
    photo = Photo.objects.of(shop).get()
    photo.delete()
    second = backup.make(tmp_path)
    photo.save(force_insert=True)
    assert backup.forget_old(tmp_path, 1) == [first.name]
    assert [folder.name for folder in manifest.finished(tmp_path)] == [second.name]
    assert list((tmp_path / "files").glob("??/*")) == []


def test_what_was_not_finished_is_no_backup(shop, tmp_path, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(manifest, "write", full)
    before = BackupMade.objects.count()
    with pytest.raises(OSError):
        backup.make(tmp_path)
    assert manifest.finished(tmp_path) == []
    assert BackupMade.objects.count() == before


@pytest.fixture(scope="module")
def once(shop, tmp_path_factory, django_db_blocker):
    with django_db_blocker.unblock():
        place = tmp_path_factory.mktemp("backups")
        return place / backup.make(place).name


@pytest.fixture
def made(once, tmp_path):
    """A backup that may be damaged."""
    shutil.copytree(once.parent, tmp_path / "backups")
    return tmp_path / "backups" / once.name


def flip(path):
    """One bit, in the middle."""
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(content)


def test_a_whole_backup_is_found_whole(made):
    assert restore.check(made).name == made.name


def test_one_flipped_bit_of_the_database_is_found(made):
    flip(made / json.loads((made / "manifest.json").read_text())["database"][0]["path"])
    with pytest.raises(manifest.Unreadable, match="damaged"):
        restore.check(made)


def test_a_file_that_left_the_store_is_found(made):
    next((made.parent / "files").glob("??/*")).unlink()
    with pytest.raises(manifest.Unreadable, match="damaged or gone: file"):
        restore.check(made)


def test_a_backup_of_a_newer_program_is_refused(made):
    told = json.loads((made / "manifest.json").read_text())
    told["migrations"]["jobs"].append("9999_what_nobody_has_yet")
    (made / "manifest.json").write_text(json.dumps(told))
    with pytest.raises(manifest.Unreadable, match=r"newer program: it has jobs\.9999"):
        restore.check(made)


def test_nothing_is_put_back_where_something_stands(made):
    with pytest.raises(restore.NotEmpty):
        restore.restore(made)


def test_nothing_is_put_back_where_a_database_stands_without_files(made, var, settings, tmp_path):
    settings.VAR_DIR = tmp_path / "elsewhere"
    with pytest.raises(restore.NotEmpty, match=r"is there|has tables"):
        restore.restore(made)
    assert not settings.VAR_DIR.exists()


def test_a_drill_puts_all_back_signs_in_writes_and_leaves_a_receipt(made):
    receipt = drill.drill(made.parent)
    told = json.loads(receipt.report)
    assert told["faults"] == []
    assert receipt.held
    assert told["looked_over"]["used"] == {"signed_in": True, "read": True, "wrote": True}
    compared = {one["kind"]: (one["compared"], one["others"]) for one in told["looked_over"]["again"]}
    assert compared["issued layouts"] == (1, 0)
    assert compared["texts kept word for word"] == (1, 0)
    assert told["restored"]["tables"]["photos_photo"] == 1
    assert PICTURE  # the files' bytes are held against their SHA-256 as they are written


def test_a_drill_of_a_damaged_backup_leaves_a_receipt_that_says_so(made):
    next((made.parent / "files").glob("??/*")).unlink()
    receipt = drill.drill(made.parent)
    assert not receipt.held
    assert "damaged or gone" in json.loads(receipt.report)["faults"][0]


def test_without_a_backup_there_is_no_drill(tmp_path):
    with pytest.raises(drill.NoBackup):
        drill.drill(tmp_path)
