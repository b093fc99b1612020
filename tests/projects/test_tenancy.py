"""A shop's records are reached through the shop, and a save never silently takes the place of another's."""

import threading

import pytest
from django.apps import apps
from django.db import connection
from django.utils import timezone

from layout.models import LayoutRevision
from projects.jobs.models import Job, Room
from projects.platform.permissions import Role, may
from projects.platform.tenancy import ShopRecord, StaleVersion, UnscopedQuery, save_from
from tests.factories import FACTORIES, JobFactory, LayoutRevisionFactory, MemberFactory, RoomFactory, ShopFactory

SHOP_RECORDS = [model for model in apps.get_models() if issubclass(model, ShopRecord)]

WAYS_TO_READ = {
    "list": list,
    "bool": bool,
    "len": len,
    "first": lambda rows: rows.first(),
    "get": lambda rows: rows.get(pk=1),
    "slice": lambda rows: rows[:5].get(),
    "index": lambda rows: rows[0],
    "filter": lambda rows: list(rows.filter(pk__gt=0)),
    "values": lambda rows: list(rows.values()),
    "values_list": lambda rows: list(rows.values_list("pk", flat=True)),
    "dates": lambda rows: list(rows.datetimes("created_at", "day")),
    "in_bulk": lambda rows: rows.in_bulk([1]),
    "count": lambda rows: rows.count(),
    "exists": lambda rows: rows.exists(),
    "contains": lambda rows: rows.contains(rows.model(pk=1)),
    "aggregate": lambda rows: rows.aggregate(),
    "iterator": lambda rows: list(rows.iterator()),
    "update": lambda rows: rows.update(version=2),
    "delete": lambda rows: rows.delete(),
    "get_or_create": lambda rows: rows.get_or_create(pk=1),
    "update_or_create": lambda rows: rows.update_or_create(pk=1, defaults={"version": 2}),
    "union": lambda rows: list(rows.union(rows.all())),
}


@pytest.mark.django_db
@pytest.mark.parametrize("way", WAYS_TO_READ)
@pytest.mark.parametrize("model", SHOP_RECORDS, ids=lambda model: model.__name__)
def test_a_query_that_names_no_shop_is_refused(model, way):
    with pytest.raises(UnscopedQuery, match=model.__name__):
        WAYS_TO_READ[way](model.objects.all())


@pytest.mark.django_db
@pytest.mark.parametrize("joined", ["or", "xor", "union", "or the other way round"])
def test_a_shops_rows_joined_with_rows_of_no_shop_are_refused(joined):
    """Or one shop's page would carry every shop's rooms behind a scope that looks right."""
    mine, all_rows = Room.objects.of(RoomFactory().shop), Room.objects.all()
    both = {
        "or": lambda: mine | all_rows,
        "xor": lambda: mine ^ all_rows,
        "union": lambda: mine.union(all_rows),
        "or the other way round": lambda: all_rows | mine,
    }
    with pytest.raises(UnscopedQuery):
        list(both[joined]())


@pytest.mark.django_db
@pytest.mark.parametrize("model", SHOP_RECORDS, ids=lambda model: model.__name__)
def test_a_shop_sees_its_own_and_never_anothers(model):
    mine, theirs = FACTORIES[model](), FACTORIES[model]()
    assert mine.shop != theirs.shop
    assert mine in model.objects.of(mine.shop)
    assert theirs not in model.objects.of(mine.shop)
    assert not model.objects.of(mine.shop).filter(pk=theirs.pk).exists()
    assert {row.shop for row in model.objects.of(mine.shop)} == {mine.shop}
    with pytest.raises(model.DoesNotExist):
        model.objects.of(mine.shop).get(pk=theirs.pk)


@pytest.mark.django_db
@pytest.mark.parametrize("model", SHOP_RECORDS, ids=lambda model: model.__name__)
def test_a_change_or_removal_in_one_shop_leaves_the_other_alone(model):
    mine, theirs = FACTORIES[model](), FACTORIES[model]()
    model.objects.of(mine.shop).filter(pk=theirs.pk).update(version=99)
    theirs.refresh_from_db()
    assert theirs.version == 1
    model.objects.of(ShopFactory()).delete()
    assert model.objects.every_shop().filter(pk__in=[mine.pk, theirs.pk]).count() == 2


@pytest.mark.django_db
def test_what_hangs_on_a_record_is_reached_through_it():
    room = RoomFactory()
    other = RoomFactory()
    revision = LayoutRevisionFactory(room=room)
    LayoutRevisionFactory(room=other)

    assert list(room.job.rooms.all()) == [room]
    assert room.job.rooms.filter(stage=0).count() == 1
    assert room.revisions.get() == revision
    assert LayoutRevision.objects.of(room.shop).get().room.job == room.job


@pytest.mark.django_db
def test_related_records_fetched_ahead_stay_within_their_own_record(django_assert_num_queries):
    room = RoomFactory()
    RoomFactory(shop=ShopFactory())
    with django_assert_num_queries(2):
        [job] = Job.objects.of(room.shop).prefetch_related("rooms")
        assert list(job.rooms.all()) == [room]


@pytest.mark.django_db
def test_whole_installation_is_asked_for_by_name():
    RoomFactory()
    RoomFactory()
    assert Room.objects.every_shop().count() == 2


# Saving from a page that was open for a while.


@pytest.mark.django_db
def test_a_save_from_the_version_that_was_read_is_kept_and_counted():
    job = JobFactory(name="Old name")
    stored = save_from(job, 1, {"name": "  New   name "}, at=timezone.now())
    assert (stored.name, stored.version) == ("New name", 2)


@pytest.mark.django_db
def test_a_stale_save_changes_nothing_and_hands_back_both_versions():
    job = JobFactory(name="As read", note="as read")
    mine = Job.objects.of(job.shop).get()
    theirs = Job.objects.of(job.shop).get()
    save_from(theirs, 1, {"name": "Theirs"}, at=timezone.now())

    with pytest.raises(StaleVersion) as refused:
        save_from(mine, 1, {"name": "Mine", "note": "my long note"}, at=timezone.now())

    assert refused.value.theirs.name == "Theirs"
    assert refused.value.mine == {"name": "Mine", "note": "my long note"}
    stored = Job.objects.of(job.shop).get()
    assert (stored.name, stored.note, stored.version) == ("Theirs", "as read", 2)


@pytest.mark.django_db
def test_a_save_writes_only_what_was_changed():
    job = JobFactory(name="Mine", note="old")
    stale = Job.objects.of(job.shop).get()
    save_from(job, 1, {"note": "new"}, at=timezone.now())
    save_from(stale, 2, {"name": "Renamed"}, at=timezone.now())
    stored = Job.objects.of(job.shop).get()
    assert (stored.name, stored.note) == ("Renamed", "new")


def in_threads(work, count):
    """Run work(number) in `count` threads that start together. Returns what they gave or raised, in order."""
    together, outcomes = threading.Barrier(count), [None] * count

    def run(number):
        together.wait()
        try:
            outcomes[number] = work(number)
        except Exception as raised:  # handed to the test, which looks at it
            outcomes[number] = raised
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=[number]) for number in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return outcomes


@pytest.mark.django_db(transaction=True)
def test_of_people_saving_the_same_page_at_once_one_is_kept_and_the_rest_are_told():
    job = JobFactory(name="As read")
    shop = job.shop

    def save(number):
        mine = Job.objects.of(shop).get()
        return save_from(mine, 1, {"name": f"By {number}"}, at=timezone.now())

    outcomes = in_threads(save, 6)
    kept = [outcome for outcome in outcomes if isinstance(outcome, Job)]
    refused = [outcome for outcome in outcomes if isinstance(outcome, StaleVersion)]
    assert (len(kept), len(refused)) == (1, 5), outcomes
    stored = Job.objects.of(shop).get()
    assert (stored.name, stored.version) == (kept[0].name, 2)
    assert {refusal.mine["name"] for refusal in refused} | {stored.name} == {f"By {n}" for n in range(6)}


@pytest.mark.django_db(transaction=True)
def test_lines_added_to_one_note_by_many_at_once_are_all_there():
    """Each reads, adds a line, saves, and reads again when told it was stale: no line that was saved is lost."""
    job = JobFactory()
    shop = job.shop

    def add_lines(number):
        for line in range(5):
            while True:
                mine = Job.objects.of(shop).get()
                try:
                    save_from(mine, mine.version, {"note": f"{mine.note}\n{number}.{line}"}, at=timezone.now())
                    break
                except StaleVersion:
                    continue

    assert in_threads(add_lines, 4) == [None] * 4
    stored = Job.objects.of(shop).get()
    assert sorted(stored.note.split()) == sorted(f"{number}.{line}" for number in range(4) for line in range(5))
    assert stored.version == 1 + 20


@pytest.mark.django_db
def test_a_person_in_two_shops_has_one_role_in_each():
    member = MemberFactory(role=Role.OWNER.value)
    elsewhere = MemberFactory(user=member.user, role=Role.VIEWER.value)
    assert may(member, "run the shop") and not may(elsewhere, "run the shop")
