"""A shop's own catalog, rules and lists as one small file of JSON, and taken in from one: all of it or nothing.

Things are known by their own short names, never by an id. A length is text with its unit. What the file does not name
stays as it is: nothing is ever removed by it. No people, no jobs, and no prices unless they are asked for. What each
section is called and holds is told in projects/guide/shop-lists.md.
"""

import hashlib
import json
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Protocol

from django.db import transaction
from django.utils.translation import gettext as _

from projects.accounts.models import Shop

FORMAT, WHAT = 1, "lists of a shop of Ceilingbook"
MOST_ROWS = 5000  # of all sections together
MOST_TOLD = 50  # refusals in one answer


class Refused(Exception):
    """What can't be taken as it stands. errors: dicts of pointer, detail and code, as the API tells them."""

    def __init__(self, errors):
        super().__init__("; ".join(f"{one['pointer']}: {one['detail']}" for one in errors))
        self.errors = errors


class Outdated(Exception):
    """The file, or what the shop has of it, is not what was looked at."""


@dataclass(frozen=True, slots=True)
class Change:
    """One thing added or changed. fields: (name, as it was, as it becomes), in the file's own values."""

    section: str
    key: str
    name: str
    added: bool
    fields: tuple[tuple[str, Any, Any], ...]


@dataclass(slots=True)
class Report:
    """What taking a file in does, or would. seen: stands for the file and for what the shop has of it."""

    seen: str = ""
    changes: list[Change] = field(default_factory=list)
    same: int = 0
    notes: list[str] = field(default_factory=list)
    errors: list[dict] = field(default_factory=list)

    def wrong(self, pointer, detail, code="invalid"):
        self.errors.append({"pointer": pointer, "detail": str(detail), "code": code})


class Part(Protocol):
    """One section. money: only there where prices are asked for."""

    name: str
    money: bool

    def told(self, shop) -> Any:
        """What the shop has, as JSON; None where it has nothing of its own."""

    def take(self, shop, by, given, report: Report) -> None:
        """Write what differs, and tell it; what can't be taken goes into report.errors."""


PARTS: dict[str, Part] = {}  # in the order they are written and read


def register(*parts):
    for part in parts:
        PARTS[part.name] = part


def told(shop, *, prices=False) -> dict[str, Any]:
    """The shop's file as values."""
    found = {name: part.told(shop) for name, part in PARTS.items() if prices or not part.money}
    return {"format": FORMAT, "what": WHAT, **{name: value for name, value in found.items() if value is not None}}


def as_text(value) -> str:
    """The same lists are the same text."""
    return json.dumps(value, indent=1, ensure_ascii=False, default=_plain) + "\n"


def _plain(value):
    if isinstance(value, Decimal):
        return int(value) if value == value.to_integral_value() else float(value)
    raise TypeError(value)


def try_out(shop, given, *, by) -> Report:
    """What taking it in would do: all of it is done, and taken back. Raises Refused."""
    with transaction.atomic():
        report = _take(shop, given, by)
        transaction.set_rollback(True)
    return report


def take_in(shop, given, *, by, seen) -> Report:
    """All of it or nothing. seen: of the Report that was looked at. Raises Refused, Outdated."""
    with transaction.atomic():
        return _take(shop, given, by, seen)


def _take(shop, given, by, seen=None):
    shop = Shop.objects.select_for_update().get(pk=shop.pk)  # two files at once: the second is told
    _insist_on_shape(given)
    report = Report(_seen(shop, given))
    if seen is not None and seen != report.seen:
        raise Outdated
    for name, part in PARTS.items():
        if name in given:
            part.take(shop, by, given[name], report)
        if len(report.errors) >= MOST_TOLD:
            break
    if report.errors:
        raise Refused(report.errors[:MOST_TOLD])
    return report


def _insist_on_shape(given):
    errors = Report()
    if not isinstance(given, dict):
        errors.wrong("", _("One JSON object stands in a file of lists."))
        raise Refused(errors.errors)
    if given.get("what") != WHAT:
        errors.wrong("/what", _("“%(what)s” stands here. This is another kind of file.") % {"what": WHAT})
    if isinstance(given.get("format"), bool) or given.get("format") != FORMAT:
        errors.wrong("/format", _("%(format)s stands here. Use the program that wrote the file.") % {"format": FORMAT})
    for name in given.keys() - PARTS.keys() - {"format", "what"}:
        errors.wrong(f"/{name[:40]}", _("There is no such section. Leave it out, or check its name."), "unknown")
    if sum(len(value) for value in given.values() if isinstance(value, (list, dict))) > MOST_ROWS:
        said = _("At most %(most)s things stand in one file. Send it in parts.")
        errors.wrong("", said % {"most": MOST_ROWS}, "too_many")
    if errors.errors:
        raise Refused(errors.errors)


def _seen(shop, given):
    stored = {name: part.told(shop) for name, part in PARTS.items() if name in given}
    said = json.dumps([shop.pk, given, stored], sort_keys=True, default=str)
    return hashlib.sha256(said.encode()).hexdigest()
