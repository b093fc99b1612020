"""On PostgreSQL the database itself keeps shops apart: tried with the program's own filter taken away."""

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, transaction

from projects.platform.permissions import ROUTES
from projects.platform.speaking import speaking
from projects.platform.tenancy import ShopQuerySet
from projects.platform.walling import every_shop, this_process_runs_commands, wall
from projects.walls.install import missing, passes_through
from projects.walls.rows import AT_THE_DOOR, OF_NO_SHOP, of_no_shop
from projects.walls.rows import walled as walled_models
from tests.walk.walked import ABSENT, PAGES, WITH_IDS, body, go

on_postgres = pytest.mark.skipif(
    "connection.vendor != 'postgresql'", reason="SQLite has no row security: there one process holds the one file."
)
LEDGERS = ("history.Entry", "history.Seal")  # may name no shop


def test_every_table_of_ours_is_walled_or_named_with_its_reason():
    assert of_no_shop() == set(OF_NO_SHOP)
    assert set(AT_THE_DOOR) <= {model._meta.label for model in walled_models()}


def test_who_speaks_for_no_shop_is_given_nothing_but_by_a_command():
    with speaking(shop=None, via="", request=""):
        assert wall() == "every"  # a test may run commands
        this_process_runs_commands(False)
        try:
            assert wall() == ""
            with every_shop():
                assert wall() == "every"
        finally:
            this_process_runs_commands(True)
    with speaking(request="r-1", via="page"):
        assert wall() == "door"
        with speaking(shop=5):
            assert wall() == "shop"
    with speaking(shop=5, via="command"):
        assert wall() == "shop"


def to_shop(model, passed=()):
    """A way of the test's own, so that the wall is not held to its own measure: by the key that is declared last."""
    if model._meta.label == "accounts.Shop":
        return "pk"
    keys = {field.name: field for field in model._meta.concrete_fields if field.is_relation and not field.null}
    if "shop" in keys:
        return "shop"
    for name, key in reversed(keys.items()):
        if key.related_model not in passed and (above := to_shop(key.related_model, (*passed, model))):
            return f"{name}__{above}"
    return ""


def counted(shop):
    """{table: rows of this shop}, as far as they are handed out."""
    return {
        model: model._base_manager.filter(**{to_shop(model): shop.pk}).distinct().count()
        for model in walled_models()
        if model._meta.label not in LEDGERS
    }


@on_postgres
def test_all_rows_of_ones_own_shop_are_there_and_none_of_anothers(walled, house, neighbor):
    assert missing() == []
    assert not passes_through()
    all_own, all_theirs = counted(house.shop), counted(neighbor.shop)
    with speaking(shop=house.shop.pk, via="page", request="r-1"):
        own, theirs = counted(house.shop), counted(neighbor.shop)
    assert own == all_own
    assert [model._meta.label for model, rows in theirs.items() if rows] == []
    assert sum(rows > 0 for rows in all_theirs.values()) > 60  # else there was little to keep


@on_postgres
def test_nothing_of_another_shop_can_be_changed_removed_or_made_ones_own(walled, house, neighbor):
    held = []
    with speaking(shop=house.shop.pk, via="page", request="r-1"), connection.cursor() as cursor:
        for model in walled_models():
            if model._meta.label in LEDGERS:
                continue
            table, key = model._meta.db_table, model._meta.pk.column
            theirs = ids_of(model, neighbor.shop)
            if not theirs:
                continue
            cursor.execute(f'UPDATE "{table}" SET "{key}" = "{key}" WHERE "{key}" = ANY(%s)', [theirs])
            held.append((table, "UPDATE", cursor.rowcount))
            cursor.execute(f'DELETE FROM "{table}" WHERE "{key}" = ANY(%s)', [theirs])
            held.append((table, "DELETE", cursor.rowcount))
    assert [one for one in held if one[2]] == []
    assert len(held) > 120


def ids_of(model, shop):
    with every_shop():
        return list(model._base_manager.filter(**{to_shop(model): shop.pk}).values_list("pk", flat=True))


@on_postgres
def test_no_row_can_be_handed_to_another_shop(walled, house, neighbor):
    taken = []
    for model in walled_models():
        shop = next((field for field in model._meta.concrete_fields if field.name == "shop"), None)
        if shop is None or model._meta.label in LEDGERS or not ids_of(model, house.shop):
            continue
        table = model._meta.db_table
        with speaking(shop=house.shop.pk, via="page", request="r-1"):
            try:
                with transaction.atomic(), connection.cursor() as cursor:
                    cursor.execute(f'UPDATE "{table}" SET "{shop.column}" = %s', [neighbor.shop.pk])
                    taken.append(table)
            except DatabaseError as refused:
                assert "row-level security" in str(refused), table
    assert taken == []


@on_postgres
def test_at_the_door_only_who_may_come_in_is_read_and_nothing_is_written(walled, house):
    with speaking(request="r-1", via="page"):
        read = {model._meta.label for model, rows in counted(house.shop).items() if rows}
        with connection.cursor() as cursor:
            for label in AT_THE_DOOR:
                table = apps.get_model(label)._meta.db_table
                cursor.execute(f'UPDATE "{table}" SET id = id')
                assert cursor.rowcount == 0, label
    assert read <= set(AT_THE_DOOR)
    assert "accounts.Membership" in read


@on_postgres
def test_where_nobody_speaks_nothing_is_handed_out(walled, house):
    this_process_runs_commands(False)
    try:
        with speaking(shop=None, via="", request=""):
            assert [model._meta.label for model, rows in counted(house.shop).items() if rows] == []
    finally:
        this_process_runs_commands(True)


@pytest.fixture
def no_filter(monkeypatch):
    """The program's own wall is gone: every query of a shop's rows is one of every shop's."""
    monkeypatch.setattr(ShopQuerySet, "of", lambda rows, shop: rows._mark())


READ = [name for name in WITH_IDS if ROUTES[name].read and "figure_name" not in PAGES[name]]


@on_postgres
def test_pages_without_the_filter_show_nothing_of_another_shop(walled, no_filter, house, neighbor, owner):
    """What a page shows for another shop's id is what it shows for an id of nothing."""
    leaks = []
    for name in READ:
        with transaction.atomic():
            theirs = go(owner, "GET", neighbor.address(name))
            nobodys = go(owner, "GET", house.address(name, **dict.fromkeys(PAGES[name], ABSENT)))
            same = theirs.status_code == nobodys.status_code and body(theirs) == body(nobodys)
            if not same:
                leaks.append((name, theirs.status_code))
            transaction.set_rollback(True)
    assert leaks == []
    assert len(READ) > 80


@on_postgres
def test_the_same_pages_would_show_it_without_the_wall(walled, no_filter, house, neighbor, owner, monkeypatch):
    """Else the walk above proved nothing: the filter really was gone."""
    monkeypatch.setattr("projects.history.postgres.wall", lambda: "every")
    shown = 0
    for name in ("room", "job", "lay_out", "fixture_type", "bid"):
        if name in READ:
            shown += go(owner, "GET", neighbor.address(name)).status_code == 200
    assert shown >= 3
