"""What `manage.py check` asks beyond Django's own: is what is installed new enough, is a server told what it must be.

Those of Django's --deploy, and these, are clean for a server as projects/deploy describes it. A warning that is known
and accepted is silenced by its id in CEILINGBOOK_SILENCED_CHECKS, with the reason beside it.
"""

import json
import sqlite3
from importlib import metadata
from ipaddress import ip_network
from pathlib import Path

from django.conf import settings
from django.core import checks
from django.utils.version import get_version_tuple

from projects.platform.address import UNIX

FLOORS = json.loads(Path(__file__).with_name("floors.json").read_text())


@checks.register(checks.Tags.security)
def floors(app_configs=None, **kwargs):
    """ceilingbook.E001: a package is older than a fix this product stands on, or missing."""
    found = []
    for floor in FLOORS["packages"]:
        try:
            here = metadata.version(floor["package"])
        except metadata.PackageNotFoundError:
            here = None
        if here is None or get_version_tuple(here) < get_version_tuple(floor["least"]):
            words = f"{floor['package']} is {here or 'not installed'}; {floor['least']} or newer is needed."
            found.append(checks.Error(words, hint=floor["why"], id="ceilingbook.E001"))
    return found


@checks.register(checks.Tags.security, deploy=True)
def spreadsheets(app_configs=None, **kwargs):
    """ceilingbook.E002: spreadsheets would be read by a parser that expands entities."""
    import openpyxl

    if openpyxl.DEFUSEDXML:
        return []
    return [checks.Error("openpyxl reads without defusedxml.", hint="Install defusedxml.", id="ceilingbook.E002")]


@checks.register(checks.Tags.database, deploy=True)
def sqlite(app_configs=None, **kwargs):
    """ceilingbook.W001: this SQLite has the WAL-reset bug, and the database is one file."""
    floor = FLOORS["sqlite"]
    on_sqlite = settings.DATABASES["default"]["ENGINE"].endswith("sqlite3")
    if not on_sqlite or sqlite3.sqlite_version_info >= tuple(map(int, floor["least"].split("."))):
        return []
    words = f"SQLite is {sqlite3.sqlite_version}; {floor['least']} mended a fault of its WAL mode."
    hint = f"{floor['why']} Take a newer build, or PostgreSQL; your distribution may have mended its own: silence this."
    return [checks.Warning(words, hint=hint, id="ceilingbook.W001")]


@checks.register(checks.Tags.security, deploy=True)
def told(app_configs=None, **kwargs):
    """ceilingbook.E003 to E005, W002, W003: what a server must be told, or should."""
    found = []
    if not settings.PUBLIC_URL.startswith("https://"):
        words = "CEILINGBOOK_PUBLIC_URL is not an https:// address: letters would lead nowhere, or over an open line."
        found.append(checks.Error(words, id="ceilingbook.E003"))
    loose = [host for host in settings.ALLOWED_HOSTS if host.startswith((".", "*")) or not host]
    if loose or not settings.ALLOWED_HOSTS:
        words = f"CEILINGBOOK_HOSTS has to name each host whole; it has {', '.join(loose) or 'none'}."
        found.append(checks.Error(words, id="ceilingbook.E004"))
    found += [checks.Error(words, id="ceilingbook.E005") for words in _proxies()]
    if not settings.EMAIL_HOST:
        words = "CEILINGBOOK_MAIL is not set: invitations and links to a new password go to the console alone."
        found.append(checks.Warning(words, id="ceilingbook.W002"))
    if not settings.SECURITY_CONTACT:
        words = "CEILINGBOOK_SECURITY_CONTACT is not set: security.txt names the address that letters come from."
        found.append(checks.Warning(words, id="ceilingbook.W003"))
    return found


def _proxies():
    for one in settings.TRUSTED_PROXIES:
        try:
            everyone = one != UNIX and ip_network(one).prefixlen == 0
        except ValueError:
            yield f"CEILINGBOOK_PROXIES: {one} is no address, network or unix."
        else:
            if everyone:
                yield f"CEILINGBOOK_PROXIES: {one} is everybody; whoever asks could write any address."
