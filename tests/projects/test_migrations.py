"""The migrations make the tables that the tests, which build theirs from the models, are run on.

Run for real once, on SQLite, into an empty folder; `.ci/run` runs them on PostgreSQL as well.
"""

import os
import re
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from django.apps import apps
from django.db import models

ROOT = Path(__file__).parents[2]


def begin(folder):
    env = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    return subprocess.Popen(
        [sys.executable, "manage.py", "migrate", "-v", "0"], cwd=ROOT, env=env | {"CEILINGBOOK_VAR": str(folder)},
        stderr=subprocess.PIPE, text=True,
    )  # fmt: skip


def schema_of(folder):
    """By table: (columns that may and may not be empty, the text of it)."""
    with sqlite3.connect(folder / "ceilingbook.sqlite3") as database:
        texts = {}
        asked = "SELECT tbl_name, sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY name"
        for table, sql in database.execute(asked):
            texts[table] = f"{texts.get(table, '')}\n{sql}"
        return {
            table: ({row[1]: not row[3] for row in database.execute(f'PRAGMA table_info("{table}")')}, text)
            for table, text in texts.items()
        }


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The schema of a database nobody has used."""
    folder = tmp_path_factory.mktemp("var")
    run = begin(folder)
    _out, said = run.communicate()
    assert run.returncode == 0, said
    return schema_of(folder)


@pytest.mark.long
def test_killed_on_the_way_they_go_on_where_they_were(made, tmp_path):
    """Each migration is whole or not there: killed at seven moments, the eighth run ends where one run does."""
    killed = 0
    for seconds in (3, 4, 5, 6, 7, 8, 9):
        run = begin(tmp_path)
        try:
            run.wait(seconds)
        except subprocess.TimeoutExpired:
            run.kill()
            killed += 1
        run.communicate()
        with sqlite3.connect(tmp_path / "ceilingbook.sqlite3") as database:
            assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    run = begin(tmp_path)
    _out, said = run.communicate()
    assert run.returncode == 0, said
    assert killed >= 3, "they were done before anybody could stop them"
    assert schema_of(tmp_path) == made


def managed():
    return [model for model in apps.get_models(include_auto_created=True) if model._meta.managed]


def test_the_migrations_make_every_table_with_its_columns(made):
    wanted = {
        model._meta.db_table: {field.column: field.null for field in model._meta.concrete_fields} for model in managed()
    }
    assert {table: made[table][0] for table in wanted} == wanted


def test_the_migrations_make_every_constraint(made):
    """Named in the table's own text or as an index upon it: CHECKs, what must be unique, what is looked up by."""
    for model in managed():
        named = [each.name for each in (*model._meta.constraints, *model._meta.indexes)]
        text = made[model._meta.db_table][1]
        assert [name for name in named if f'"{name}"' not in text] == [], model
        checks = [each for each in model._meta.constraints if isinstance(each, models.CheckConstraint)]
        assert len(re.findall(r'CONSTRAINT "\w+" CHECK', text)) == len(checks), model
