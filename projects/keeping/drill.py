"""A restore drill: the newest backup put back into a place of its own by a process of its own, looked over, used, and
thrown away. What was found is kept as a receipt, whether it held or not.
"""

import json
import os
import secrets
import shutil
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote, urlencode

from django.conf import settings
from django.db import connection
from django.utils import timezone

from projects.keeping import manifest as about
from projects.keeping.looking_over import THROWAWAY
from projects.keeping.models import LONGEST_REPORT, DrillMade
from projects.keeping.restore import check

LONGEST = 3600  # seconds a step may take
# Not told anew: what the drill itself writes, and what comes and goes without anybody's doing.
UNCOUNTED = ("django_session",)


class NoBackup(Exception):
    """There is nothing to drill with."""


def drill(place: Path, most: int = 20, say=lambda words: None) -> DrillMade:
    """Raises NoBackup. Everything else that goes wrong stands in the receipt."""
    found = about.finished(place)
    if not found:
        raise NoBackup(f"{place} holds no backup. Make one first: manage.py backup.")
    began, told, made_at = time.monotonic(), {}, None
    try:
        wanted = check(found[0])
        made_at = wanted.made_at
        with _scratch() as env:
            say(f"{found[0].name} is put back")
            told["restored"] = _run(env, "restore", str(found[0]))
            told["restore_seconds"] = round(time.monotonic() - began, 2)
            say("it is looked over and used")
            told["looked_over"] = _run(env, "look_over", "--try", "--most", str(most))
            told["faults"] = _faults(wanted, told["restored"], told["looked_over"])
    except (about.Unreadable, Failed, OSError, subprocess.SubprocessError) as fault:
        told["faults"] = [str(fault)[:4000]]
    told["held"] = not told["faults"]
    report = json.dumps(told, sort_keys=True)
    return DrillMade.objects.create(
        backup=found[0].name, backup_made_at=made_at, at=timezone.now(), held=told["held"],
        seconds=round(time.monotonic() - began, 3), report=report[:LONGEST_REPORT],
    )  # fmt: skip


class Failed(Exception):
    """A step ended with an error; its own words."""


def _faults(wanted, restored, looked):
    faults = [f"{name} did not work" for name, held in looked["used"].items() if not held]
    for one in looked["again"]:
        faults += [f"{one['kind']}: {what} comes out otherwise" for what in one["other"]]
        if one["stored"] and not one["compared"]:
            faults.append(f"{one['kind']}: none was compared")
    for table, kept in wanted.tables.items():
        if table not in UNCOUNTED and restored["tables"].get(table) != kept["rows"]:
            faults.append(f"{table}: {restored['tables'].get(table)} rows of {kept['rows']}")
    lost = sorted(set(looked["missing"]) - set(wanted.missing))
    faults += [f"file {name} did not come back" for name in lost[:20]]
    return faults


def _run(env, *command):
    done = subprocess.run(
        [sys.executable, "manage.py", *command, "--json"],
        cwd=settings.BASE_DIR, env=env, capture_output=True, text=True, timeout=LONGEST,
    )  # fmt: skip
    try:
        told = json.loads(done.stdout)
    except ValueError:
        told = None
    if told is None or (done.returncode and command[0] == "restore"):
        raise Failed(f"{command[0]} ended with {done.returncode}: {done.stderr.strip()[-2000:] or done.stdout[-500:]}")
    return told


@contextmanager
def _scratch():
    """The environment of an installation that stands empty, and is gone afterwards."""
    folder = tempfile.mkdtemp(prefix="ceilingbook-drill-")
    env = os.environ | {"CEILINGBOOK_VAR": folder, THROWAWAY: "1"}
    env.pop("DATABASE_URL", None)
    try:
        if connection.vendor == "sqlite":
            yield env
        else:
            with _database() as url:
                yield env | {"DATABASE_URL": url}
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def _database():
    """An empty database on the same server; the role has to be allowed to make one."""
    name = f"ceilingbook_drill_{secrets.token_hex(4)}"
    other = connection.copy()
    try:
        with other.cursor() as cursor:
            cursor.execute(f'CREATE DATABASE "{name}"')
        try:
            yield _url(name)
        finally:
            with other.cursor() as cursor:
                cursor.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
    finally:
        other.close()


def _url(name):
    known = connection.settings_dict
    who = quote(known["USER"]) + (f":{quote(known['PASSWORD'])}" if known["PASSWORD"] else "")
    host, port = known["HOST"], f":{known['PORT']}" if known["PORT"] else ""
    if host.startswith("/"):
        return f"postgresql://{who}@/{name}?{urlencode({'host': host})}"
    return f"postgresql://{who}@{host}{port}/{name}"
