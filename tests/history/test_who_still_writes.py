"""On PostgreSQL an entry may appear after one with a higher number: who reads or seals waits for who still writes."""

from contextlib import contextmanager

import pytest
from django.db import connection, connections

from projects.history import chain, writers
from projects.webhooks import reading
from tests.factories import RoomFactory

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "postgresql", reason="on SQLite writers come one after the other"),
]


@contextmanager
def writing_in(database):
    """Somebody else's transaction, begun and left open."""
    other = connections["default"].copy()
    other.settings_dict = other.settings_dict | {"NAME": database}
    try:
        other.set_autocommit(False)
        with other.cursor() as cursor:
            cursor.execute("SELECT pg_current_xact_id()")
        yield
    finally:
        other.close()


def test_who_writes_here_is_waited_for():
    reading.begin()
    RoomFactory()
    with writing_in(connection.settings_dict["NAME"]):
        assert writers.oldest() < writers.mark()
        assert chain.seal(patience=0) is None
        reading._noted = (0, 0)
        assert reading._settled() == 0
    assert chain.seal(patience=5) is not None
    assert reading._settled() == reading._last() > 0


def test_who_writes_in_another_database_of_the_same_server_is_not():
    reading.begin()
    RoomFactory()
    with writing_in("postgres"):
        assert chain.seal(patience=0) is not None
        assert reading._settled() == reading._last() > 0


def test_who_ended_while_it_was_asked_who_writes_is_waited_for_no_longer(monkeypatch):
    """Between the list of who writes and the question whose database it is in, somebody ended."""
    reading.begin()
    RoomFactory()
    with writing_in("postgres"), connection.cursor() as cursor:
        writers.mark()
        cursor.execute("SELECT pg_current_snapshot()::text")
        ((taken,),) = cursor.fetchall()
    monkeypatch.setattr(writers, "OLDEST", writers.OLDEST.replace("pg_current_snapshot()", f"'{taken}'::pg_snapshot"))
    assert writers.oldest() == int(taken.split(":")[1])
