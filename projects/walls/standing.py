"""How the wall stands, for /healthz."""

from django.conf import settings
from django.db import connection

from projects.platform.health import Standing, told
from projects.walls.install import missing, passes_through


def register() -> None:
    told("row_wall")(row_wall)


def row_wall() -> Standing:
    """A wall that a superuser's connection walks through is none: say so."""
    if connection.vendor != "postgresql" or not settings.ROW_WALL:
        return Standing("ok", {"stands": False})
    if gone := missing():
        return Standing("failing", {"stands": False, "tables_without": len(gone)})
    if passes_through():
        return Standing("warn", {"stands": False, "role_sees_past_it": True})
    return Standing("ok", {"stands": True})
