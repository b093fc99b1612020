"""All rows go into another database and read the same there; no id is given twice, and no trigger tells them anew."""

import pytest
from django.conf import settings
from django.db import connections
from django.db.migrations.recorder import MigrationRecorder

from projects.accounts.models import Shop
from projects.keeping import moving
from projects.settings import _database

pytestmark = [pytest.mark.usefixtures("db"), pytest.mark.long]  # each move runs all migrations
THERE = "moved_to"


@pytest.fixture
def there(tmp_path):
    """An empty SQLite database beside the one of the tests."""
    usual = settings.DATABASES["default"]
    named = usual | _database("") | {"NAME": tmp_path / "there.sqlite3", "TEST": usual["TEST"]}
    connections.databases[THERE] = named
    yield THERE
    connections[THERE].close()
    del connections.databases[THERE], connections[THERE]


def test_every_row_reads_the_same_in_the_other_database_and_ids_go_on(shop, there):
    gone = Shop.objects.create(name="Gone before")
    last = gone.pk
    gone.delete()
    report = moving.move("default", there)
    by_name = {one.name: one for one in report}
    assert all(one.same for one in report)
    assert by_name["accounts_shop"].rows == 1
    assert by_name["layout_layoutrevision"].rows == 1
    assert Shop.objects.using(there).get().name == shop.name
    assert Shop.objects.using(there).create(name="The next").pk > last
    assert moving.content_of(Shop, "default") != moving.content_of(Shop, there), "another row is another content"


def test_a_database_that_holds_something_is_refused(shop, there):
    with connections[there].cursor() as cursor:
        cursor.execute("CREATE TABLE something (id integer)")
    with pytest.raises(moving.NotMoved, match="has tables"):
        moving.move("default", there)


def test_a_database_behind_the_program_is_refused(shop, there):
    recorder = MigrationRecorder(connections["default"])
    row = recorder.migration_qs.filter(app="jobs").last()
    row.delete()
    try:
        with pytest.raises(moving.NotMoved, match=f"jobs.{row.name}"):
            moving.move("default", there)
    finally:
        recorder.record_applied("jobs", row.name)
