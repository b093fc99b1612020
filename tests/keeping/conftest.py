"""A shop with a laid-out room, a sent bid and a photo on disk, in a database that says which migrations it has."""

import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.test import override_settings

from projects.files import store
from projects.platform.permissions import Role
from tests.factories import JobFactory, MemberFactory, PhotoFactory, ShopFactory
from tests.shops import bids_of, issue, practice_room

PICTURE = b"not a picture, but its bytes have to come back"


@pytest.fixture(scope="module")
def var(django_db_setup, tmp_path_factory):
    """A folder of its own for what the program writes."""
    with override_settings(VAR_DIR=tmp_path_factory.mktemp("var"), MIGRATION_MODULES={}):
        yield settings.VAR_DIR


@pytest.fixture(scope="module")
def shop(var, django_db_blocker):
    """Committed, for the tests of one file; all goes with the last of them.

    Tests build their tables from the models; a backup and a move ask which migrations made them.
    """
    with django_db_blocker.unblock():
        recorder = MigrationRecorder(connection)
        recorder.ensure_schema()
        for app, name in MigrationLoader(None).disk_migrations:
            recorder.record_applied(app, name)
        yield filled_shop()
        call_command("flush", verbosity=0, interactive=False)
        with connection.schema_editor() as editor:
            editor.delete_model(recorder.Migration)


@pytest.fixture
def db(shop, django_db_blocker):
    """In place of the one that wraps a test in a transaction: what is backed up or goes out has to be committed."""
    with django_db_blocker.unblock():
        yield


def filled_shop(name="Plumbline & Chalk"):
    shop = ShopFactory(name=name)
    owner = MemberFactory(shop=shop, role=Role.OWNER.value)
    room = practice_room(shop, job=JobFactory(shop=shop))
    issue(room, by=owner)
    bids_of(room.job, owner)
    photo = PhotoFactory(room=room, taken_by=owner, file=store.new_name("jpg"), small=store.new_name("jpg"))
    store.put(shop.pk, {photo.file: PICTURE, photo.small: PICTURE[:9]})
    return shop
