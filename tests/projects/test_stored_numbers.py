"""Every number a shop stores is bounded by the database itself, on either engine: an absurd one is not written at all.

The fields come from Django's registry, so a number added to a model and left without a CHECK fails here.
"""

import pytest
from django.apps import apps
from django.db import IntegrityError, models, transaction

from tests.factories import FACTORIES, OWN_APPS

# A number without bounds, with the reason. `version` counts saves and is written only as version + 1; the others are
# such a number as it stood when something was taken.
UNBOUNDED = {"version", "draft_version", "ceiling_version"}

# What a phone sent, letter for letter, and the answer it got. Its numbers are read by a form before they are stored in
# columns of their own; here nothing is added up.
AS_SENT = {"field.EntryKept.data", "field.EntryKept.answer"}

# How long a thing took: measured, told, and never counted with. A CHECK holds its bounds.
TOOK = {"keeping.BackupMade.seconds", "keeping.DrillMade.seconds"}


def stored_numbers():
    for model in apps.get_models():
        if model._meta.app_label not in OWN_APPS:
            continue
        for field in model._meta.concrete_fields:
            key = field.primary_key or field.is_relation or field.name in UNBOUNDED
            if not key and isinstance(field, models.IntegerField | models.DecimalField):
                yield field


def absurd(field):
    """The least and the greatest value that the column's type can hold on both engines."""
    if isinstance(field, models.DecimalField):
        most = 10 ** (field.max_digits - field.decimal_places) - 1
        return -most, most
    column = field.get_internal_type()
    size = 16 if "Small" in column else 64 if "Big" in column else 32
    return -(2 ** (size - 1)), 2 ** (size - 1) - 1


def refused(rows, field, value):
    try:
        with transaction.atomic():
            rows.update(**{field.name: value})
    except IntegrityError as told:
        return "check constraint" in str(told).lower()
    return False


@pytest.mark.django_db
@pytest.mark.parametrize(
    "model", sorted({field.model for field in stored_numbers()}, key=str), ids=lambda m: m.__name__
)
def test_the_database_refuses_an_absurd_number(model):
    rows = model._base_manager.filter(pk=FACTORIES[model]().pk)
    tried = [(field, value) for field in stored_numbers() if field.model is model for value in absurd(field)]
    assert [(str(field), value) for field, value in tried if not refused(rows, field, value)] == []


def test_lengths_decimals_and_counts_are_all_among_them():
    """The walk above is not empty by mistake: one known field of each sort is in it."""
    walked = {str(field) for field in stored_numbers()}
    assert {"jobs.Reading.value", "catalogue.FixtureType.watts", "jobs.Room.stage", "accounts.Shop.edge_min"} <= walked


def test_nothing_is_stored_as_a_float_or_as_loose_json():
    """A float can't hold 1/3 in or keep infinity out, and a number inside JSON has no CHECK."""
    loose = [
        field
        for model in apps.get_models()
        if model._meta.app_label in OWN_APPS
        for field in model._meta.concrete_fields
        if isinstance(field, models.FloatField | models.JSONField)
    ]
    assert [field for field in loose if str(field) not in AS_SENT | TOOK] == []
