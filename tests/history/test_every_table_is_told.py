"""Each table of our own: a row added, changed and deleted is told, with who did it. None is left out but by name."""

import pytest
from django.db import DatabaseError, models, transaction

from layout.engine.lengths import Distance, inches
from projects.history.models import Entry
from projects.history.recorded import QUIET, told_models
from projects.platform.speaking import speaking
from tests.factories import FACTORIES
from tests.untouched import taken_back

pytestmark = pytest.mark.django_db
WHO, REQUEST = 987_654, "the-one-asked-about"


def told(model, row):
    """What was done to the row by this request, in order."""
    entries = Entry.objects.every_shop().filter(what=model._meta.db_table, record=str(row), request=REQUEST)
    return [(one.did, one.user_id, one.via) for one in entries.order_by("pk")]


def others(field, value):
    """Values that may stand in the column in place of this one."""
    if isinstance(field, models.BooleanField):
        return [not value]
    if isinstance(field, models.ForeignKey):
        return [None] if field.null and value is not None else []
    if field.choices:
        return [one for one, _words in field.flatchoices if one != value]
    if isinstance(field, models.CharField | models.TextField):
        return ["b" * min(field.max_length or 8, 8), "2026"]
    if isinstance(value, Distance):
        return [value + inches(1)]
    return [value + 1] if isinstance(value, int | float) else []


# Made from two revisions and removed again: no address changes one.
NEVER_CHANGED = {"changes.ChangedRoom"}


def changed(model, row):
    """Whether some column of the row could be given another value."""
    quiet = QUIET.get(model._meta.label, ())
    for field in model._meta.concrete_fields:
        if field.primary_key or field.name in quiet or getattr(field, "auto_now", False):
            continue
        for value in others(field, getattr(row, field.attname)):
            try:
                with transaction.atomic():
                    if model._base_manager.filter(pk=row.pk).update(**{field.attname: value}):
                        return True
            except (DatabaseError, ValueError, TypeError):
                continue  # a rule of the table: another column will do
    return False


@pytest.mark.parametrize("model", told_models(), ids=lambda model: model._meta.label)
def test_a_row_added_changed_and_deleted_is_told_with_who_did_it(model):
    with taken_back(), speaking(user=WHO, via="page", request=REQUEST):
        row = FACTORIES[model]()
        row.refresh_from_db()
        done = told(model, row.pk)
        assert done[0] == ("added", WHO, "page")
        if model._meta.label not in NEVER_CHANGED:
            assert changed(model, row), "no column could be changed: name one in others()"
            assert told(model, row.pk)[len(done) :] == [("changed", WHO, "page")]
        model._base_manager.filter(pk=row.pk)._raw_delete(using="default")
        assert told(model, row.pk)[-1] == ("removed", WHO, "page")
