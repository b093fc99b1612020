"""What opens something is told to nobody, wherever rows are shown, told or handed out."""

import pytest
from django.apps import apps
from django.db import models

from projects.history.persons import texts_of
from projects.history.recorded import tables
from projects.keeping import leaving
from projects.platform.secret_columns import HARMLESS, LOOKS_SECRET, SECRETS, is_secret, name_of

COLUMNS = {
    name_of(field): field
    for model in apps.get_models(include_auto_created=True)
    for field in model._meta.concrete_fields
}
DECIDED = [*SECRETS, *(column for columns in HARMLESS.values() for column in columns)]


def test_every_column_of_a_secrets_name_is_said_to_be_one_or_to_be_harmless():
    assert [name for name, field in COLUMNS.items() if LOOKS_SECRET.search(field.name) and name not in DECIDED] == []


def test_what_is_said_is_said_once_and_of_columns_that_are_there():
    assert len(DECIDED) == len(set(DECIDED))
    assert set(DECIDED) <= set(COLUMNS)


@pytest.mark.parametrize("name", ["api_token", "password_2", "recovery_codes", "secret", "otp_key", "session_key"])
def test_a_new_column_of_such_a_name_is_a_secret_until_somebody_says_otherwise(name):
    field = models.CharField()
    field.set_attributes_from_name(name)
    field.model = apps.get_model("jobs.Job")
    assert is_secret(field)


def test_the_history_writes_none_of_them_down():
    told = {(table.name, column.name): column.secret for table in tables() for column in table.columns}
    seen = [name for name in SECRETS if (COLUMNS[name].model._meta.db_table, COLUMNS[name].column) in told]
    assert len(seen) >= 12
    assert [n for n in seen if not told[COLUMNS[n].model._meta.db_table, COLUMNS[n].column]] == []


def test_no_name_is_looked_for_in_one():
    assert [name for name in SECRETS if COLUMNS[name].name in texts_of(COLUMNS[name].model)] == []


def test_none_goes_out_with_a_shop_but_what_somebody_was_given():
    going = {name_of(field) for model in leaving.going_out() for field in leaving.fields_of(model)}
    assert going & set(SECRETS) == set(leaving.GOES_ALONG)
