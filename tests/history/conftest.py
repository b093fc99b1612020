"""What is asked of the history here: the entries that one thing left."""

import json

import pytest

from projects.history.models import Entry


@pytest.fixture
def entries(db):
    """entries(table) -> (what was done, before, after) of each since the test began, in the order they were written."""
    start = Entry.objects.every_shop().order_by("-pk").values_list("pk", flat=True).first() or 0

    def of(table):
        rows = Entry.objects.every_shop().filter(pk__gt=start, what=table).order_by("pk")
        return [(row.did, _read(row.before), _read(row.after)) for row in rows]

    return of


def _read(text):
    return json.loads(text) if text else None
