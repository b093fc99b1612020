"""What a list may be asked: which rows, in what order, since when, and page by page. Knows no record of its own.

A view says it once, as its `listing`; the answer and the description are both made from that. What a listing does not
name can't be asked: no question of an address ever reaches a query by its own name.
"""

import hashlib
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import reduce
from operator import or_
from typing import Any

from django.core import signing
from django.db.models import Model, Q, QuerySet
from django.utils.dateparse import parse_date, parse_datetime
from drf_spectacular.utils import OpenApiParameter

from projects.platform.api.problems import Refused

CURSOR, ORDERING, SEARCH, SINCE = "cursor", "ordering", "search", "updated_since"
BY_ID = "id"
LONGEST_SEARCH = 100
LARGEST_ID = 2**63 - 1
FIRST_YEAR, LAST_YEAR = 2000, 2100


class Unfit(ValueError):
    """What was asked is no value of this question; in words."""


@dataclass(frozen=True)
class Filter:
    """One question of a list. rows(value): which rows it leaves; read(text): raises Unfit; shape: its JSON Schema."""

    read: Callable[[str], Any]
    rows: Callable[[Any], Q]
    shape: Mapping[str, Any]
    said: str = ""


def _on(column):
    return lambda value: Q((column, value))


def choice(column, values, said=""):
    """One of some values, as they are stored."""
    by_text = {str(value): value for value in values}

    def read(text):
        if text not in by_text:
            raise Unfit(f"One of: {', '.join(by_text)}.")
        return by_text[text]

    return Filter(read, _on(column), {"type": "string", "enum": list(by_text)}, said)


def _whole(text):
    if not (text.isascii() and text.isdecimal() and len(text) <= 19 and int(text) <= LARGEST_ID):
        raise Unfit("A record's id, a whole number.")
    return int(text)


def by_id(column, said=""):
    return Filter(_whole, _on(column), {"type": "integer", "minimum": 0, "maximum": LARGEST_ID}, said)


def _yes(text):
    if text not in ("true", "false"):
        raise Unfit("true or false.")
    return text == "true"


def yes_no(column, said=""):
    """Of a column that is true or false; or with __isnull at its end."""
    return Filter(_yes, _on(column), {"type": "boolean"}, said)


def day(column, said=""):
    """column may end in __gte or __lte."""

    def read(text):
        try:
            found = parse_date(text) if len(text) == 10 and text.isascii() else None
        except ValueError:
            found = None
        if found is None or not FIRST_YEAR <= found.year <= LAST_YEAR:
            raise Unfit(f"A day from {FIRST_YEAR} to {LAST_YEAR}, like 2026-05-03.")
        return found

    return Filter(read, _on(column), {"type": "string", "format": "date"}, said)


def _plain(text):
    cleaned = unicodedata.normalize("NFC", text)
    if len(cleaned) > LONGEST_SEARCH or any(unicodedata.category(char) in ("Cc", "Cs") for char in cleaned):
        raise Unfit(f"At most {LONGEST_SEARCH} characters, all of which can be printed.")
    return cleaned


def text(column, said=""):
    """Exactly this text."""
    return Filter(_plain, _on(column), {"type": "string", "maxLength": LONGEST_SEARCH}, said)


def _moment(given):
    # A plus in an address is read as a space: what was meant is plain, since no time has a space there.
    try:
        found = parse_datetime(given.replace(" ", "+")) if len(given) <= 40 and given.isascii() else None
    except ValueError:
        found = None
    if found is None or found.tzinfo is None or not FIRST_YEAR < found.year < LAST_YEAR:
        raise Unfit("A time with its offset, like 2026-05-03T10:00:00Z.")
    return found.astimezone(UTC)


@dataclass(frozen=True)
class Listing:
    """What a list may be asked.

    model: whose rows it lists; without one the list is computed and comes by page numbers only. filters: by the name
    of the question. ordering: columns it may be ordered by, the id always among them. search: columns a word may stand
    in. own_order: a question of the view's own that orders the rows, so that no cursor goes with it.
    """

    model: type[Model] | None = None
    filters: Mapping[str, Filter] = field(default_factory=dict)
    ordering: tuple[str, ...] = ()
    search: tuple[str, ...] = ()
    own_order: str = ""

    @property
    def orders(self):
        columns = (BY_ID, *self.ordering) if self.model else ()
        return [name for column in columns for name in (column, f"-{column}")]

    @property
    def tells_since(self):
        return self.model is not None and any(each.name == "updated_at" for each in self.model._meta.fields)

    @property
    def names(self):
        return [
            *self.filters,
            *([ORDERING, CURSOR] if self.model else ()),
            *([SEARCH] if self.search else ()),
            *([SINCE] if self.tells_since else ()),
        ]

    def narrowed(self, rows, asked):
        """The rows that were asked for, in the order that was asked for. asked: {name: text}. Raises Refused."""
        errors: list[dict[str, str]] = []
        for name, question in self.filters.items():
            if name in asked:
                rows = self._kept(rows, name, asked[name], question.read, question.rows, errors)
        if SINCE in asked and self.tells_since:
            rows = self._kept(rows, SINCE, asked[SINCE], _moment, _on("updated_at__gte"), errors)
        if SEARCH in asked and self.search:
            rows = self._kept(rows, SEARCH, asked[SEARCH], _plain, self._all_words, errors)
        if ORDERING in asked and self.model:
            rows = self._ordered(rows, asked, errors)
        if errors:
            raise Refused(errors)
        return rows

    @staticmethod
    def _kept(rows, name, given, read, which, errors):
        try:
            return rows.filter(which(read(given)))
        except Unfit as unfit:
            errors.append(_wrong(name, str(unfit)))
            return rows

    def _all_words(self, given):
        """Each word stands in one of the columns, literally: Django escapes % and _ for both engines."""
        found = Q()
        for word in given.split():
            found &= reduce(or_, (Q((f"{column}__icontains", word)) for column in self.search))
        return found

    def _ordered(self, rows, asked, errors):
        order = asked[ORDERING]
        if order not in self.orders:
            errors.append(_wrong(ORDERING, f"One of: {', '.join(self.orders)}."))
            return rows
        column, sign = order.lstrip("-"), "-" if order.startswith("-") else ""
        return rows.order_by(sign + ("pk" if column == BY_ID else column), sign + "pk")

    # The description

    def parameters(self):
        told = [
            OpenApiParameter(name, dict(question.shape), description=question.said)
            for name, question in self.filters.items()
        ]
        if self.model:
            told += [
                OpenApiParameter(ORDERING, str, enum=self.orders, description="With a minus the other way around"),
                OpenApiParameter(
                    CURSOR,
                    str,
                    description="Instead of page: empty for the first rows, then as `next` gives it. Rows come by "
                    "their id, each once, whatever is added meanwhile; they are not counted.",
                ),
            ]
        if self.search:
            words = {"type": "string", "maxLength": LONGEST_SEARCH}
            said = f"Words, each of which stands in one of: {', '.join(self.search)}"
            told.append(OpenApiParameter(SEARCH, words, description=said))
        if self.tells_since:
            said = "What was made or changed at this time or later. What was taken away is not told."
            told.append(OpenApiParameter(SINCE, datetime, description=said))
        return told


def _wrong(name, detail, code="invalid"):
    return {"parameter": name, "detail": detail, "code": code}


# Cursors

SALT = "projects.platform.api.lists.cursor"


class Cursor:
    """A place in a list by id, signed and bound to the shop, the address and what else was asked of it."""

    def __init__(self, shop, path, asked: Mapping[str, str], besides: Iterable[str]):
        self.descending = asked.get(ORDERING, BY_ID) == f"-{BY_ID}"
        questions = sorted((name, text) for name, text in asked.items() if name not in {CURSOR, *besides})
        self.bound = hashlib.sha256(repr((shop.pk, path, questions)).encode()).hexdigest()[:32]
        self.after = self._read(asked[CURSOR]) if asked[CURSOR] else None

    def _read(self, given):
        try:
            bound, after = signing.loads(given[:400], salt=SALT)
        except (signing.BadSignature, ValueError, TypeError):
            bound, after = "", 0
        if bound != self.bound:
            said = "Not a cursor of this list with these questions. Leave its value empty to begin anew."
            raise Refused([_wrong(CURSOR, said)])
        return after

    def page(self, rows: QuerySet, size):
        """(rows of the page, the next cursor or None)."""
        rows = rows.order_by("-pk" if self.descending else "pk")
        if self.after is not None:
            rows = rows.filter(Q(("pk__lt" if self.descending else "pk__gt", self.after)))
        found = list(rows[: size + 1])
        if len(found) <= size:
            return found, None
        return found[:size], signing.dumps((self.bound, found[size - 1].pk), salt=SALT)


def refuse_cursor_with(asked: Mapping[str, str], listing: Listing):
    """A cursor goes by id and takes the place of page."""
    errors = []
    if "page" in asked:
        errors.append(_wrong("page", "Ask either page or cursor."))
    if asked.get(ORDERING, BY_ID).lstrip("-") != BY_ID:
        errors.append(_wrong(ORDERING, f"A cursor goes by {BY_ID} or -{BY_ID}."))
    if listing.own_order and listing.own_order in asked:
        errors.append(_wrong(listing.own_order, f"A cursor goes by {BY_ID} or -{BY_ID}."))
    if errors:
        raise Refused(errors)
