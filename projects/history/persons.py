"""Everything that is kept of one person, wherever it stands: rows that name them by key, and texts with their name.

Knows no table by name: foreign keys and columns of text are read off the models.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from django.db import models
from django.db.models import Q

from layout.engine.lengths import Length
from projects.accounts.models import Membership, User
from projects.history.models import Entry
from projects.history.recorded import LEFT_OUT
from projects.platform.parts import own_models
from projects.platform.secret_columns import is_secret
from projects.platform.ways_up import SHOP, as_lookup, way_up


@dataclass(frozen=True, slots=True)
class Found:
    """One row. columns: those that name the person; kept: the whole row but its secrets, as plain values."""

    model: type[models.Model]
    pk: object
    columns: tuple[str, ...]


def names_of(user: User) -> list[str]:
    """What a text may call them by."""
    return [word for word in (user.email, user.name) if word]


def by_key(user: User, shop=None) -> Iterator[Found]:
    """Rows whose foreign keys name the person, or one of their memberships."""
    members = Membership.objects.filter(user=user)
    if shop is not None:
        members = members.filter(shop=shop)
    ids = list(members.values_list("pk", flat=True))
    for model in _models():
        keys = [
            (field, [user.pk] if field.related_model is User else ids)
            for field in model._meta.concrete_fields
            if field.is_relation and field.related_model in (User, Membership)
        ]
        if not keys:
            continue
        wanted = Q()
        for field, whom in keys:
            wanted |= Q(**{f"{field.attname}__in": whom})
        rows = model._base_manager.order_by("pk").filter(wanted).values("pk", *(field.attname for field, _ in keys))
        for row in rows.iterator(chunk_size=2000):
            named = tuple(field.attname for field, whom in keys if row[field.attname] in whom)
            yield Found(model, row["pk"], named)


def by_words(user: User, shops=None) -> Iterator[Found]:
    """Rows with a text that has the person's name or address in it. shops: theirs alone, where a row has one."""
    words = names_of(user)
    for model in _models():
        columns = texts_of(model)
        if not columns or model is User:
            continue
        wanted = Q()
        for name in columns:
            for word in words:
                wanted |= Q(**{f"{name}__icontains": word})
        rows = model._base_manager.filter(wanted).order_by("pk")
        if shops is not None and (way := way_up(model, SHOP)) is not None:
            rows = rows.filter(**{f"{as_lookup(way)}__in": shops})
        for row in rows.values("pk", *columns).iterator(chunk_size=500):
            named = tuple(name for name in columns if has_any(row[name], words))
            if named:
                yield Found(model, row["pk"], named)


def has_any(text, words) -> bool:
    return bool(text) and any(pattern(word).search(str(text)) for word in words)


def pattern(word: str) -> re.Pattern:
    """The word as a whole, however it is written: "Ann" is not in "Hannah"."""
    return re.compile(rf"(?<!\w){re.escape(word)}(?!\w)", re.IGNORECASE)


def texts_of(model) -> list[str]:
    """Columns a name may stand in. What opens something is none of them."""
    return [
        field.name
        for field in model._meta.concrete_fields
        if isinstance(field, models.CharField | models.TextField | models.JSONField)
        and not field.choices
        and not field.primary_key
        and not is_secret(field)
    ]


def _models():
    for model in own_models():
        if model is not Entry and (model._meta.label not in LEFT_OUT or model._meta.label in STILL):
            yield model


# Left out of the history, and may hold a name all the same.
STILL = ("takeoffs.RoomLines", "traffic.KeptAnswer")


def copy_of(user: User, *, shop=None, whole: bool = False) -> dict:
    """All that is kept of a person, as plain values for JSON.

    shop: of that one alone. whole: each row as it stands, for whoever runs the installation; otherwise what it is,
    which, when and in which columns, since a row may also say what its shop doesn't tell everybody.
    """
    members = [each for each in user.memberships.select_related("shop").order_by("pk") if shop in (None, each.shop)]
    return {
        "person": {"id": user.pk, "name": user.name, "email": user.email, "language": user.language,
                   "last_sign_in": user.last_login},
        "works_in": [
            {"shop": each.shop.name, "role": each.role, "active": each.active, "member": each.pk} for each in members
        ],
        "named_by_key": [_row(found, whole) for found in by_key(user, shop)],
        "named_in_words": [_row(found, whole) for found in by_words(user, [each.shop_id for each in members])],
        "did": [_entry(entry, whole) for entry in _entries(user, shop).iterator(chunk_size=2000)],
    }  # fmt: skip


def _entries(user, shop):
    rows = Entry.objects.every_shop() if shop is None else Entry.objects.of(shop)
    return rows.filter(user_id=user.pk).order_by("pk")


def _row(found: Found, whole: bool) -> dict:
    told = {"what": found.model._meta.label, "id": found.pk, "as": list(found.columns)}
    shown = [
        field
        for field in found.model._meta.concrete_fields
        if (whole or field.name in WHEN) and not is_secret(field)
    ]
    row = found.model._base_manager.filter(pk=found.pk).values("pk", *(field.attname for field in shown)).first()
    return told | {
        "row": {
            name: int(value) if isinstance(value, Length) else value
            for name, value in (row or {}).items()
            if name != "pk" and not isinstance(value, bytes | memoryview)
        }
    }


WHEN = ("at", "on", "created_at", "entered_at", "taken_at", "taken_on")


def _entry(entry: Entry, whole: bool) -> dict:
    told = {"at": entry.at, "what": entry.what, "record": entry.record, "did": entry.did, "via": entry.via}
    return told | ({"before": entry.before, "after": entry.after} if whole else {})
