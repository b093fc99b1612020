"""Whether this process lives, whether it may be sent requests, and how the whole stands.

`/livez` asks nothing but the process: who restarts what doesn't live must not do it because a database is away.
`/readyz` asks database, migrations and disk. Both are answered before host names, TLS and sessions: who asks stands
beside the server. `/healthz` is for whoever runs it, and asks every part that registered itself.
"""

import hmac
import logging
import platform
import shutil
import sqlite3
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from importlib import metadata

import django
from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.http import HttpResponse, JsonResponse

log = logging.getLogger(__name__)

WORST = ("ok", "warn", "failing")
SAFE_SQLITE = (3, 51, 3)  # before it, two connections could in rare moments damage a database in WAL mode


@dataclass(frozen=True, slots=True)
class Standing:
    """How one part stands: ok, warn or failing, and plain values that hold nothing of a person, path or key."""

    state: str
    facts: dict[str, object] = field(default_factory=dict)


PARTS: dict[str, Callable[[], Standing]] = {}


def told(name):
    """Register what /healthz tells of a part. In an app, do it in a module that its AppConfig.ready imports."""

    def register(ask):
        PARTS[name] = ask
        return ask

    return register


class Probes:
    """Answers /livez and /readyz."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        if request.path_info not in ("/livez", "/readyz"):
            return self.get_response(request)
        request.asked_often = True  # every few seconds: no line in the log for each
        if request.path_info == "/livez":
            return _unkept(HttpResponse("alive\n", content_type="text/plain"))
        return _unkept(_readiness())


def _readiness():
    parts = {name: asked(PARTS[name]).state for name in ("database", "migrations", "disk")}
    missing = [name for name, state in parts.items() if state == "failing"]
    answer = JsonResponse({"ready": not missing, **parts}, status=503 if missing else 200)
    answer._has_been_logged = True  # in words of ours instead
    if missing:
        log.warning("not ready for want of: %s", ", ".join(missing))
    return answer


def healthz(request):
    """Everything, for platform staff or whoever sends the server's own health token."""
    if not _may_ask(request):
        refused = JsonResponse({"detail": "Send the health token: Authorization: Bearer followed by it."}, status=401)
        refused.headers["WWW-Authenticate"] = 'Bearer realm="health"'
        return _unkept(refused)
    parts = {name: asked(ask) for name, ask in sorted(PARTS.items())}
    state = max((part.state for part in parts.values()), key=WORST.index)
    said = {"state": state, **_versions(), "parts": {n: {"state": p.state, **p.facts} for n, p in parts.items()}}
    return _unkept(JsonResponse(said, status=503 if state == "failing" else 200))


def asked(ask):
    """The part's standing; failing where asking fails, with the kind of the error and nothing of its words."""
    try:
        return ask()
    except Exception as error:
        if isinstance(error, DatabaseError):
            connection.close()
        return Standing("failing", {"error": type(error).__name__})


def _may_ask(request):
    given = request.headers.get("Authorization", "").removeprefix("Bearer ").encode()
    if settings.HEALTH_TOKEN and hmac.compare_digest(given, settings.HEALTH_TOKEN.encode()):
        return True
    return request.user.is_authenticated and getattr(request.user, "is_staff", False)


def _unkept(response):
    response.headers["Cache-Control"] = "no-store"
    return response


def _versions():
    return {
        "version": metadata.version("ceilingbook"),
        "python": platform.python_version(),
        "django": django.get_version(),
    }


@told("database")
def _database():
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        cursor.fetchone()
    if connection.vendor != "sqlite":
        return Standing("ok", {"engine": connection.vendor, "version": connection.pg_version})
    old = sqlite3.sqlite_version_info < SAFE_SQLITE
    facts = {"engine": "sqlite", "version": sqlite3.sqlite_version}
    if old:
        facts["advice"] = f"Use SQLite {'.'.join(map(str, SAFE_SQLITE))} or newer, or a build with its WAL fix."
    return Standing("warn" if old else "ok", facts)


@told("migrations")
def _migrations():
    missing = _on_disk() - set(MigrationRecorder(connection).applied_migrations())
    return Standing("failing" if missing else "ok", {"known": len(_on_disk()), "missing": len(missing)})


@cache
def _on_disk():
    return frozenset(MigrationLoader(None, ignore_no_migrations=True).disk_migrations)


@told("disk")
def _disk():
    free = shutil.disk_usage(settings.VAR_DIR).free // 1_000_000
    with tempfile.TemporaryFile(dir=settings.VAR_DIR) as tried:  # full, or read only: it raises
        tried.write(b"ready")
        tried.flush()
    return Standing("failing" if free < settings.LEAST_FREE_MB else "ok", {"free_mb": free})
