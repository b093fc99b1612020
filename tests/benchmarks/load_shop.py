"""A shop to measure with: so many jobs of so many rooms, each taped, built up, laid out and with a revision and a card.

One room is made through the services; the database itself writes the others, row by row of every table that hangs on
it. Run as a process of its own, on an empty database: python -m tests.benchmarks.load_shop JOBS ROOMS, prints JSON.
"""

import json
import os
import sys
from contextlib import contextmanager
from datetime import timedelta


def fill(jobs, rooms):
    """Returns what a visitor needs: sessions and tokens by role, ids of jobs and rooms."""
    from django.db import connection
    from django.utils import timezone

    from projects.jobs.models import Job, Room
    from projects.platform.permissions import Role
    from tests.factories import ShopFactory
    from tests.shops import issue, people_of, practice_room

    shop = ShopFactory()
    people = people_of(shop)
    first = practice_room(shop)
    issue(first)
    made = Job.objects.bulk_create(
        Job(shop=shop, number=f"L-{n:04}", name=f"House {n}", client=f"Client {n % 40}") for n in range(jobs)
    )
    copies(first, [job.pk for job in made], rooms)
    now = timezone.now()
    for stage in range(13):
        rows = Room.objects.of(shop).extra(where=["id %% 13 = %s"], params=[stage])
        rows.update(stage=stage, stage_since=now - timedelta(days=stage))
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    return {
        "sessions": {role.value: session_of(people[role].user) for role in Role},
        "tokens": {role.value: token_of(people[role]) for role in Role},
        "jobs": [job.pk for job in made],
        "rooms": list(Room.objects.of(shop).filter(job__in=made).order_by("pk").values_list("pk", flat=True)),
        "shop": shop.pk,
    }


def hanging_on(model, of):
    """(model, field) of every own table with rows that hang on these rows, the nearest first; each table once."""
    from django.apps import apps

    seen, found, level = {model}, [], [(model, list(of))]
    while level:
        below = []
        for above, ids in level:
            for other in apps.get_models():
                for field in other._meta.concrete_fields:
                    if other in seen or field.related_model is not above or field.primary_key:
                        continue
                    rows = list(other._base_manager.filter(**{f"{field.name}__in": ids}).values_list("pk", flat=True))
                    if rows:
                        seen.add(other)
                        found.append((other, field, ids))
                        below.append((other, rows))
        level = below
    return found


def copies(first, jobs, rooms):
    """Every row of the room again for each new room, its ids moved by a fixed step a room."""
    from django.db import connection

    from projects.jobs.models import Room

    tables = hanging_on(Room, [first.pk])
    copied = {Room} | {model for model, _, _ in tables}
    step = 1000  # more than any of one room's ids in a new database
    postgres = connection.vendor == "postgresql"
    random = "md5(random()::text || clock_timestamp()::text || n.n)" if postgres else "hex(randomblob(16))"
    count = len(jobs) * rooms
    numbers = f"WITH RECURSIVE n(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM n WHERE n < {count})"
    job_of = " ".join(f"WHEN {n} THEN {pk}" for n, pk in enumerate(jobs))
    for model, field, ids in [(Room, None, [first.pk]), *tables]:
        told = []
        for each in model._meta.concrete_fields:
            name = f't."{each.column}"'
            if each.primary_key or each.related_model in copied:
                told.append(f"{name} + n.n * {step}")
            elif model is Room and each.name == "job":
                told.append(f"CASE (n.n - 1) / {rooms} {job_of} END")
            elif model is Room and each.name == "name":
                told.append("'Room ' || n.n")
            elif each.name == "token":
                told.append(random)
            else:
                told.append(name)
        columns = ", ".join(f'"{each.column}"' for each in model._meta.concrete_fields)
        where = f't."{field.column if field else "id"}" IN ({", ".join(map(str, ids))})'
        table = model._meta.db_table
        rows = f'SELECT {", ".join(told)} FROM "{table}" t CROSS JOIN n WHERE {where}'
        with connection.cursor() as cursor:
            cursor.execute(f'INSERT INTO "{table}" ({columns}) {numbers} {rows}')
            if postgres:
                cursor.execute(
                    f"SELECT setval(pg_get_serial_sequence('\"{table}\"', 'id'), (SELECT max(id) FROM \"{table}\"))"
                )


def session_of(user):
    from django.test import Client

    client = Client()
    client.force_login(user)
    return client.cookies["sessionid"].value


def token_of(member):
    from projects.accounts.services import make_token

    return make_token(member, "measured")[1]


class Straight:
    """For MIGRATION_MODULES: tables are made from the models, as running each migration takes longer than the rest."""

    def __contains__(self, app):
        return True

    def __getitem__(self, app):
        return None


@contextmanager
def thrown_away():
    """A database that is made for what is measured, and dropped."""
    from django.db import connection
    from django.test import override_settings

    name = connection.settings_dict["NAME"]
    with override_settings(MIGRATION_MODULES=Straight()):
        connection.creation.create_test_db(verbosity=0, autoclobber=True)
    try:
        yield
    finally:
        connection.creation.destroy_test_db(name, verbosity=0)


def main(jobs, rooms):
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "projects.settings")
    import django
    from django.conf import settings

    modules, settings.MIGRATION_MODULES = settings.MIGRATION_MODULES, Straight()
    django.setup()
    from django.core.management import call_command
    from django.db import connection, transaction
    from django.db.migrations.loader import MigrationLoader
    from django.db.migrations.recorder import MigrationRecorder

    call_command("migrate", run_syncdb=True, verbosity=0, interactive=False)
    settings.MIGRATION_MODULES = modules
    recorder = MigrationRecorder(connection)
    recorder.ensure_schema()
    known = MigrationLoader(None, ignore_no_migrations=True).disk_migrations
    recorder.migration_qs.bulk_create(recorder.migration_qs.model(app=app, name=name) for app, name in known)
    with without_history(), transaction.atomic():
        told = fill(jobs, rooms)
    print(json.dumps(told))


def without_history():
    from projects.history.flags import without_history

    return without_history()


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
