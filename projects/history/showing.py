"""An entry in words: what it was about, who did it, and each column before and after. Writes nothing."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from django.apps import apps
from django.db import models
from django.utils.dateparse import parse_datetime
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.engine.lengths import nanometers
from projects.accounts.models import Membership, Shop
from projects.history.models import Did, Entry
from projects.history.sqlite import HIDDEN
from projects.jobs.models import Job, Room
from projects.platform.fields import LengthField

VIA = {
    "page": gettext_lazy("on a page"),
    "api": gettext_lazy("over the API"),
    "work": gettext_lazy("as long work"),
    "command": gettext_lazy("by a command"),
    "client": gettext_lazy("through a link"),
    "phone": gettext_lazy("from a phone"),
    "": gettext_lazy("outside the pages"),
}
NOTHING = "–"
ALWAYS = {"version", "created_at", "updated_at"}
LONGEST = 200  # characters of a value on the page; the API gives it whole


@dataclass(frozen=True, slots=True)
class Value:
    name: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Shown:
    entry: Entry
    what: str
    name: str
    who: str
    via: str
    job: Job | None
    room: Room | None
    values: list[Value]


def shown(shop, entries: list[Entry]) -> list[Shown]:
    """Each entry in words. Three more queries, however many entries."""
    people = _people(shop, entries)
    rooms = Room.everything.of(shop).in_bulk({entry.room_id for entry in entries if entry.room_id})
    jobs = Job.everything.of(shop).in_bulk({entry.job_id for entry in entries if entry.job_id})
    return [_shown(shop, entry, people, jobs.get(entry.job_id), rooms.get(entry.room_id)) for entry in entries]


def _people(shop, entries):
    """{membership id: name} of everybody who is named on this page, who did it or in a column."""
    ids = {entry.member_id for entry in entries if entry.member_id}
    for entry in entries:
        for side in (entry.before, entry.after):
            values = json.loads(side) if side else {}
            ids |= {values[name] for name in values.keys() & _named_by(entry.what) if values[name]}
    rows = Membership.objects.filter(shop=shop, pk__in=ids).select_related("user")
    return {member.pk: member.user.name for member in rows}


def _shown(shop, entry, people, job, room) -> Shown:
    before, after = (json.loads(side) if side else {} for side in (entry.before, entry.after))
    fields = _fields(entry.what)
    values = []
    for name in before | after:
        field = fields.get(name)
        if field is not None and _goes_without_saying(field):
            continue
        sides = [_text(shop, field, people, side[name]) if name in side else "" for side in (before, after)]
        if entry.did == Did.CHANGED or set(sides) - {"", NOTHING}:  # what is new has many boxes that nobody filled in
            values.append(Value(capfirst(field.verbose_name if field is not None else name), *sides))
    who = people.get(entry.member_id, "") or (_("nobody signed in") if entry.user_id is None else _("somebody else"))
    named = next((str(side[n]) for side in (after, before) for n in ("name", "title", "words", "number") if side.get(n)
                  and not isinstance(side[n], dict)), "")  # fmt: skip
    via = VIA.get(entry.via, entry.via)
    return Shown(entry, word_of(entry.what), named[:LONGEST], who, str(via), job, room, values)


def _goes_without_saying(field) -> bool:
    """Which record and whose, and what moves with every change: the entry itself tells it."""
    return field.primary_key or field.name in ALWAYS or field.related_model is Shop


@cache
def model_of(table: str) -> type[models.Model] | None:
    found = [model for model in apps.get_models(include_auto_created=True) if model._meta.db_table == table]
    return found[0] if found else None


def word_of(table: str) -> str:
    model = model_of(table)
    return str(model._meta.verbose_name) if model else table


@cache
def _fields(table):
    model = model_of(table)
    return {field.column: field for field in model._meta.concrete_fields} if model else {}


@cache
def _named_by(table) -> frozenset[str]:
    """The columns of a table that name a member."""
    return frozenset(
        column for column, field in _fields(table).items() if field.is_relation and field.related_model is Membership
    )


def _text(shop, field, people, value) -> str:
    if value is None or value == "":
        return NOTHING
    if isinstance(value, dict):
        return _kept_by_digest(value)
    if value == HIDDEN:
        return _("kept secret")
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if field is None:
        return str(value)[:LONGEST]
    if field.is_relation:
        return people.get(value, f"#{value}") if field.related_model is Membership else f"#{value}"
    return _of_field(shop, field, value)[:LONGEST]


def _of_field(shop, field, value) -> str:
    if isinstance(field, LengthField) and isinstance(value, int):
        return shop.tape.show(nanometers(value))
    if isinstance(field, models.DateTimeField) and (at := parse_datetime(str(value))):
        return at.strftime("%Y-%m-%d %H:%M")
    if field.choices:
        return str(dict(field.flatchoices).get(value, value))
    return str(value)


def _kept_by_digest(value) -> str:
    if "bytes" in value:
        return _("%(bytes)s bytes") % {"bytes": value["bytes"]}
    return _("a text of %(characters)s characters") % {"characters": value.get("characters", "?")}


def tables_with_words() -> Iterable[tuple[str, str]]:
    """Every table whose changes are told, by its word."""
    from projects.history.recorded import told_models

    words = ((model._meta.db_table, word_of(model._meta.db_table)) for model in told_models())
    return sorted(words, key=lambda pair: pair[1])
