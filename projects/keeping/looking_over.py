"""Whether an installation holds together: its database, its rows, its files, its results; and whether it can be used.

`sign_in_and_write` writes: it is for a place made to be thrown away (a drill), and refuses anywhere else.
"""

import os
import secrets
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.test import Client
from django.urls import reverse

from projects.accounts.models import Membership, Shop, User
from projects.jobs.models import Job
from projects.keeping import files_kept, postgres_copy, sqlite_copy
from projects.platform.permissions import Role

THROWAWAY = "CEILINGBOOK_DRILL"  # set to 1 by a drill for the place it made


class NotThrowaway(Exception):
    """Somebody asked to write for a try where people work."""


def rows() -> dict[str, int]:
    """Rows by table. Raises sqlite_copy.Unsound where the database does not hold together."""
    if connection.vendor == "sqlite":
        return sqlite_copy.look_over(Path(connection.settings_dict["NAME"]))
    connection.check_constraints()
    with connection.cursor() as cursor:
        return postgres_copy.look_over(cursor)


def missing_files() -> list[str]:
    """Names that records have and no folder holds."""
    named = set()
    with connection.cursor() as cursor:
        for table, column in files_kept.columns():
            cursor.execute(f"SELECT DISTINCT \"{column}\" FROM \"{table}\" WHERE \"{column}\" <> ''")
            named |= {row[0] for row in cursor.fetchall()}
    return sorted(named - set(files_kept.found(settings.VAR_DIR / "media")))


def sign_in_and_write() -> dict[str, bool | str]:
    """A person of the first shop signs in by the page, reads the Rooms screen and opens a job. Raises NotThrowaway."""
    if os.environ.get(THROWAWAY) != "1":
        raise NotThrowaway(f"This writes a person and a job to try. It is for a drill's own place: set {THROWAWAY}=1.")
    shop = Shop.objects.order_by("pk").first()
    if shop is None:
        return {"signed_in": True, "read": True, "wrote": True, "note": "there is no shop yet"}
    password, email = secrets.token_urlsafe(16), f"drill-{secrets.token_hex(6)}@example.invalid"
    user = User.objects.create_user(email, "Drill", password)
    Membership.objects.create(shop=shop, user=user, role=Role.OWNER.value)
    host = settings.ALLOWED_HOSTS[0].lstrip(".*") or "localhost"
    client = Client(headers={"host": host}, raise_request_exception=False)
    secure = settings.SECURE_SSL_REDIRECT
    signed = client.post(reverse("sign_in"), {"email": email, "password": password}, secure=secure)
    read = client.get(reverse("jobs"), secure=secure)
    number = f"D-{secrets.token_hex(4)}"
    client.post(reverse("new_job"), {"number": number, "name": "Drill"}, secure=secure)
    return {
        "signed_in": signed.status_code == 302,
        "read": read.status_code == 200,
        "wrote": Job.objects.of(shop).filter(number=number).exists(),
    }
