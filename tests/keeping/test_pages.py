"""An owner makes the shop's file and fetches it; nobody else does. How old backups and drills are is shown."""

import datetime as dt
import io
import zipfile

import pytest
from django.test import Client
from django.utils import timezone

from projects.files import store
from projects.keeping import queries, services
from projects.keeping.health import backup, drill
from projects.keeping.models import TakenOut
from projects.keeping.work import shop_taken_out
from projects.platform.permissions import Role
from projects.work.models import Work
from projects.work.running import Progress
from tests.factories import BackupMadeFactory, DrillMadeFactory, JobFactory, MemberFactory, ShopFactory
from tests.shops import people_of, sign_in

pytestmark = pytest.mark.django_db
PAGE, FILE = "/shop/keeping/", "/shop/keeping/file/"


@pytest.fixture(autouse=True)
def _var(tmp_path, settings):
    settings.VAR_DIR = tmp_path


@pytest.fixture
def people():
    shop = ShopFactory(name="Plumbline & Chalk")
    JobFactory(shop=shop)
    return people_of(shop)


def worked_off(work):
    """The work done as a worker does it."""
    return shop_taken_out(work, _Silent(work))


class _Silent(Progress):
    def at(self, done, total):
        self.done, self.total = done, total


def test_an_owner_asks_for_the_file_and_fetches_it(client, people):
    owner = people[Role.OWNER]
    sign_in(client, owner)
    assert client.post(PAGE).status_code == 302
    worked_off(Work.objects.of(owner.shop).get())
    made = TakenOut.objects.of(owner.shop).get()
    assert made.digest in client.get(PAGE).content.decode()
    answer = client.get(FILE)
    content = b"".join(answer.streaming_content)
    assert answer["Content-Disposition"].startswith('attachment; filename="plumbline-chalk-')
    with zipfile.ZipFile(io.BytesIO(content)) as file:
        assert '"name":"Plumbline & Chalk"' in file.read("tables/accounts.Shop.jsonl").decode()
    assert store.used_by(owner.shop_id) == len(content) == made.bytes


def test_the_file_before_goes_when_another_is_made(people, django_capture_on_commit_callbacks):
    owner = people[Role.OWNER]
    first = services.take_out(owner.shop, owner)
    with django_capture_on_commit_callbacks(execute=True):
        second = services.take_out(owner.shop, owner)
    assert [path.name for path in store.folder_of(owner.shop_id).iterdir()] == [second.file] != [first.file]
    assert store.used_by(owner.shop_id) == second.bytes


def test_what_has_no_room_leaves_nothing(people, settings):
    settings.MOST_KEPT_BYTES = 10
    owner = people[Role.OWNER]
    with pytest.raises(store.QuotaFull):
        services.take_out(owner.shop, owner)
    assert not TakenOut.objects.of(owner.shop).exists()
    assert list(store.folder_of(owner.shop_id).iterdir()) == []


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.OWNER])
def test_nobody_but_the_owner_gets_at_it(client, people, role):
    services.take_out(people[role].shop, people[Role.OWNER])
    sign_in(client, people[role])
    assert [client.get(PAGE).status_code, client.post(PAGE).status_code, client.get(FILE).status_code] == [403] * 3


def test_the_owner_of_another_shop_finds_no_file(people):
    services.take_out(people[Role.OWNER].shop, people[Role.OWNER])
    other = sign_in(Client(), MemberFactory(role=Role.OWNER.value))
    assert other.get(FILE).status_code == 404


def test_the_page_says_that_no_backup_was_made_or_tried(client, people):
    said = sign_in(client, people[Role.OWNER]).get(PAGE).content.decode()
    assert "No backup was ever made here" in said
    assert "No backup was ever put back to try it" in said


def test_the_page_tells_a_drill_that_did_not_hold_and_one_that_is_old(client, people):
    sign_in(client, people[Role.OWNER])
    BackupMadeFactory(missing=3)
    DrillMadeFactory(at=timezone.now() - dt.timedelta(days=9))
    said = client.get(PAGE).content.decode()
    assert "more than eight days ago" in said
    assert "nobody has: 3" in said
    DrillMadeFactory(at=timezone.now(), held=False)
    assert "did not hold" in client.get(PAGE).content.decode()


def test_health_warns_of_old_backups_and_fails_on_a_drill_that_did_not_hold(people):
    assert (backup().state, drill().state) == ("warn", "warn")
    BackupMadeFactory(made_at=timezone.now())
    DrillMadeFactory(at=timezone.now())
    assert (backup().state, drill().state) == ("ok", "ok")
    BackupMadeFactory(made_at=timezone.now() - dt.timedelta(hours=27))
    DrillMadeFactory(at=timezone.now(), held=False)
    assert (backup().state, drill().state) == ("warn", "failing")
    assert queries.last_drill_that_held().held
