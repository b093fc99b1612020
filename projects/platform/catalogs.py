"""What is to be translated, and whether it is. For the command `translations` and for tests; needs Babel.

Messages come from three places: calls of gettext in Python, tags in templates, and the sentences of the fixtures that
people read. Nothing here is imported while pages are served.
"""

import ast
import datetime as dt
import io
import json
import re
from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from django.conf import settings
from django.utils.translation.template import templatize

from projects.platform.parts import PARTS

FIRST = dt.datetime(2026, 12, 1, tzinfo=dt.UTC)
LOCALE = settings.BASE_DIR / "projects" / "locale"
CALLS = {"_": None, "gettext": None, "gettext_lazy": None, "ngettext": (1, 2), "ngettext_lazy": (1, 2)}
_TEXT = r"""u?(?:'(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*")"""
_TAG = re.compile(rf"\b(?:n?gettext|_)\(\s*({_TEXT})(?:\s*,\s*({_TEXT}))?")
# Of which fixtures people read sentences, and under which names they stand there.
SENTENCES = {
    "rough_in_checklist.json": ("text", "closing", "groups", "conditions"),
    "red_rules.json": ("name", "says"),
    "stages.json": ("name", "who", "does", "needs", "leaves_when", "hold_label", "names", "text"),
    "ceiling_systems.json": ("label", "not_yet", "cautions"),
    "photo_sets.json": ("title",),
    "layers.json": ("name",),
    "clearances.json": ("name", "caution"),
}

Message = str | tuple[str, str]  # one, or the singular and the plural


def messages() -> dict[Message, set[str]]:
    """Every message that people may read, with the files it stands in (from the top of the checkout)."""
    found: dict[Message, set[str]] = {}
    for path, message in (*_in_code(), *_in_fixtures()):
        found.setdefault(message, set()).add(str(path.relative_to(settings.BASE_DIR)))
    return found


def _in_code() -> Iterator[tuple[Path, Message]]:
    for path in sorted(path for part in PARTS for path in (settings.BASE_DIR / part).rglob("*")):
        if path.suffix == ".py" and "migrations" not in path.parts:
            for _line, message, *_rest in extract("python", io.BytesIO(path.read_bytes()), CALLS):
                yield path, message if isinstance(message, str) else tuple(message)
        elif path.suffix in (".html", ".txt") and "templates" in path.parts:
            for one in _TAG.finditer(templatize(path.read_text(), origin=str(path))):
                singular = ast.literal_eval(one[1])
                yield path, (singular, ast.literal_eval(one[2])) if one[2] else singular


def _in_fixtures() -> Iterator[tuple[Path, str]]:
    for name, fields in SENTENCES.items():
        path = settings.BASE_DIR / "fixtures" / name
        for text in _texts(json.loads(path.read_text()), frozenset(fields), False):
            yield path, text


def _texts(value, fields, wanted) -> Iterator[str]:
    if isinstance(value, str):
        if wanted and value.strip():
            yield value
    elif isinstance(value, list):
        for one in value:
            yield from _texts(one, fields, wanted)
    elif isinstance(value, dict):
        for name, one in value.items():
            yield from _texts(one, fields, wanted or name in fields)


def po_path(language: str) -> Path:
    return LOCALE / language / "LC_MESSAGES" / "django.po"


def catalog(language: str) -> Catalog:
    path = po_path(language)
    if not path.exists():
        return _new(language)
    with path.open("rb") as file:
        return read_po(file, locale=language, charset="utf-8")


def _new(language: str) -> Catalog:
    """Empty, with two forms, one and many. Its day never changes: the same words are the same bytes."""
    made = Catalog(
        locale=language, project="Ceilingbook", version="1", charset="utf-8", fuzzy=False,
        header_comment="# Ceilingbook",
        copyright_holder="", last_translator="the shop's own", language_team=language,
        creation_date=FIRST, revision_date=FIRST,
    )  # fmt: skip
    made._num_plurals, made._plural_expr = 2, "(n != 1)"
    return made


def untranslated(language: str, found: dict[Message, set[str]] | None = None) -> list[Message]:
    """The messages without a word in this language, in the order of their files."""
    known = catalog(language)
    missing = []
    for message in found or messages():
        entry = known.get(message if isinstance(message, str) else message[0])
        said = entry.string if entry else ""
        if not (all(said) if isinstance(said, (tuple, list)) else said) or (entry and entry.fuzzy):
            missing.append(message)
    return missing


def write(language: str, words: dict[Message, str | tuple[str, str]]) -> None:
    """Add translations, drop what nobody says any more, and write the catalog for people and the one for the server."""
    before, found = catalog(language), messages()
    after = _new(language)
    for message in sorted(found, key=str):
        old = before.get(message if isinstance(message, str) else message[0])
        said = words.get(message) or (old.string if old else "")
        flags = ["python-format"] if re.search(r"%\(\w+\)", str(message)) else []
        after.add(message, said, locations=[(path, None) for path in sorted(found[message])], flags=flags)
    path = po_path(language)
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as file:
        write_po(file, after, width=120, omit_header=False, sort_output=True)
    path.with_suffix(".mo").write_bytes(compiled(language))


def compiled(language: str) -> bytes:
    out = io.BytesIO()
    write_mo(out, catalog(language))
    return out.getvalue()
