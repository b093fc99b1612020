"""A shop's file taken in as a new shop beside those that are here, or not at all. Ids are given anew.

Who is named in the file and known here by e-mail is the same person; the others come in without a password, and set
one by the letter that asks them in. One transaction: what is refused leaves nothing, no row and no file.
"""

import os
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from django.db import DatabaseError, connection, transaction

from projects.accounts.models import Shop, User
from projects.files import store
from projects.keeping import leaving, plain
from projects.keeping.models import KnownAs
from projects.keeping.numbers import HELD_IDS, RECKONED, Numbers
from projects.keeping.shop_file import MOST_TOLD, Refused, ShopFile
from projects.keeping.shop_out import KNOWN
from projects.platform.speaking import speaking

BATCH = 500
MOST_ROWS = 20_000_000


@dataclass(frozen=True, slots=True)
class CameIn:
    shop: Shop
    rows: int
    files: int
    missing: list[str]
    new_people: list[str]  # e-mails of people who have no password yet


class _NotKept(Exception):
    """A dry run ends here."""


def take_in(path: Path, *, dry_run=False, say: Callable[[str], object] = lambda words: None) -> CameIn:
    """Raises Refused, with file and line of what is wrong. dry_run: all of it is done, and taken back."""
    with ShopFile(path) as file:
        coming = _Coming(file, say)
        done = None
        try:
            with transaction.atomic():
                done = coming.take_in()
                if dry_run:
                    raise _NotKept
        except _NotKept:
            coming.forget_files()
        except BaseException:
            coming.forget_files()
            raise
        return done


class _Coming:
    """One shop on its way in."""

    def __init__(self, file: ShopFile, say):
        self.file, self.say, self.about = file, say, file.about
        self.tables = leaving.going_out()
        self.numbers = Numbers()
        self.shop_id: int | None = None
        self.here_before: dict[int, int] = {}  # number of a person: the id of who is here already
        self.new_people: list[str] = []
        self.later: list[tuple] = []  # (model, field, id, value): what is reckoned once all rows are in

    def take_in(self) -> CameIn:
        self._insist_on_tables()
        self._give_ids()
        with speaking(shop=self.shop_id, via="command"):
            rows = sum(self._table(model) for model in self.tables)
            self._known_rooms()
            self._check_relations()
            for model, field, key, value in self.later:
                again = RECKONED[f"{model._meta.label}.{field.name}"][1](key, value)
                model._base_manager.filter(pk=key).update(**{field.name: again})
            files = self._files()
        shop = Shop.objects.get(pk=self.shop_id)
        return CameIn(shop, rows, files, self.about["missing"], self.new_people)

    # Ids

    def _insist_on_tables(self):
        wanted, told = {model._meta.label for model in self.tables}, set(self.about["tables"])
        if strange := sorted(told - wanted):
            raise Refused(f"about.json: {strange[0][:80]!r} is no table of a shop here. Use the program that wrote it.")
        if lacking := sorted(wanted - told):
            raise Refused(f"about.json: table {lacking[0]} is not in it. Use the program that wrote it.")
        for label, one in self.about["tables"].items():
            rows = one.get("rows") if isinstance(one, dict) else None
            if isinstance(rows, bool) or not isinstance(rows, int) or not 0 <= rows <= MOST_ROWS:
                raise Refused(f"about.json: the rows of {label} are not as they were written.")
        if self.about["tables"][leaving.SHOP]["rows"] != 1:
            raise Refused("tables/accounts.Shop.jsonl: one shop stands in it.")

    def _give_ids(self):
        """Each table's new rows follow what is there; rooms also follow every number that a kept text may name."""
        highest = self.about["highest_in_texts"]
        if not 0 <= highest < 2**61:
            raise Refused("about.json: “highest_in_texts” is not as it was written.")
        for model in self.tables:
            label, rows = model._meta.label, self.about["tables"][model._meta.label]["rows"]
            above = highest if label == "jobs.Room" else 0
            start = _reserved(model, rows, above) if rows else 0
            self.numbers.known[label] = {number: start + number for number in range(1, rows + 1)}
        self.shop_id = self.numbers.known[leaving.SHOP][1]

    # Rows

    def _table(self, model):
        label, name = model._meta.label, f"tables/{model._meta.label}.jsonl"
        fields, unsaid = leaving.fields_of(model), leaving.unsaid_of(model)
        columns = [model._meta.pk, *fields, *unsaid] if not model._meta.pk.is_relation else [*fields, *unsaid]
        wrong, batch, rows = [], [], 0
        for line, value in self.file.lines(name, self.about["tables"][label]):
            where = f"{name}, line {line}"
            if line > self.about["tables"][label]["rows"]:
                raise Refused(f"{where}: more lines than about.json says.")
            try:
                said = self._row(model, fields, line, value)
            except plain.NotPlain as fault:
                wrong.append(f"{where}: {fault}.")
                if len(wrong) >= MOST_TOLD:
                    break
                continue
            rows += 1
            if label == leaving.USER and self._known_person(line, said, fields):
                continue
            key = [] if model._meta.pk.is_relation else [self.numbers.known[label][line]]
            batch.append((where, [*key, *said, *unsaid.values()]))
            if len(batch) >= BATCH:
                _insert(model, columns, batch)
                batch = []
        if wrong:
            raise Refused(*wrong)
        _insert(model, columns, batch)
        self.say(f"{label}: {rows}")
        return rows

    def _row(self, model, fields, line, value):
        names = {"n", *(field.name for field in fields)}
        if names ^ value.keys():
            raise plain.NotPlain(f"{sorted(names ^ value.keys())[0][:40]!r} stands there alone, or is lacking")
        if value["n"] != line or isinstance(value["n"], bool):
            raise plain.NotPlain(f"n: {line} stands here")
        return [self._value(model, field, value[field.name], line) for field in fields]

    def _value(self, model, field, value, line):
        column = f"{model._meta.label}.{field.name}"
        try:
            if field.is_relation:
                return self._relation(field, value)
            if column in RECKONED:
                self.later.append((model, field, self.numbers.known[model._meta.label][line], value))
                return ""
            if column in HELD_IDS:
                value = HELD_IDS[column][1](value, self.numbers)
            return plain.back(field, value)
        except plain.NotPlain as fault:
            raise plain.NotPlain(f"{field.name}: {fault}") from None
        except (KeyError, TypeError, ValueError, AttributeError):
            raise plain.NotPlain(f"{field.name}: it is not as it was written") from None

    def _relation(self, field, value):
        if value is None:
            return plain.back(field, None)
        known = self.numbers.known.get(field.related_model._meta.label, {})
        if isinstance(value, bool) or not isinstance(value, int) or value not in known:
            raise plain.NotPlain(f"a row of {field.related_model._meta.label} stands here, from 1 to {len(known)}")
        return known[value]

    def _known_person(self, line, said, fields):
        """Whether the person is here already: then the row's number is theirs, and the row is left."""
        email = next(value for field, value in zip(fields, said, strict=True) if field.name == "email")
        if not email:
            return False
        found = User.objects.filter(email=email).values_list("pk", flat=True).first()
        if found is None:
            self.new_people.append(email)
            return False
        if found in self.numbers.known[leaving.USER].values() and self.numbers.known[leaving.USER][line] != found:
            raise Refused(f"tables/{leaving.USER}.jsonl, line {line}: {email!r} stands in it twice.")
        self.numbers.known[leaving.USER][line] = found
        return True

    def _known_rooms(self):
        rooms, kept = self.numbers.known["jobs.Room"], []
        for line, value in self.file.lines(KNOWN, self.about["rooms_in_texts"]):
            number, room = value.get("number"), value.get("room")
            whole = all(isinstance(one, int) and not isinstance(one, bool) for one in (number, room))
            if value.keys() != {"number", "room"} or not whole or room not in rooms:
                raise Refused(f"{KNOWN}, line {line}: a number and a room stand here.")
            if not 1 <= number <= self.about["highest_in_texts"]:
                raise Refused(f"{KNOWN}, line {line}: no text names a room by {number}.")
            kept.append(KnownAs(shop_id=self.shop_id, room_id=rooms[room], number=number))
        try:
            with transaction.atomic():
                KnownAs.objects.bulk_create(kept, batch_size=BATCH)
        except DatabaseError:
            raise Refused(f"{KNOWN}: a number stands in it twice.") from None

    def _check_relations(self):
        try:
            connection.check_constraints()
        except DatabaseError as wrong:
            raise Refused(f"A row names another that is not in the file: {wrong}") from None

    # Files

    def _files(self):
        named = {name for model in self.tables for name in self._named(model)}
        told, missing = self.about["files"], set(map(str, self.about["missing"]))
        if strange := sorted(set(told) - named):
            raise Refused(f"files/{strange[0]}: no record names it.")
        if lacking := sorted(named - set(told) - missing):
            raise Refused(f"files/{lacking[0]}: a record names it, and it is not in the file.")
        for name, one in sorted(told.items()):
            store.reserve(self.shop_id, self.file.size_of(name))
            self._write(name, one)
        return len(told)

    def _named(self, model):
        for column in getattr(model, "KEEPS_FILES", ()):
            rows = model._base_manager.filter(**{leaving.way_to_shop(model): self.shop_id}).exclude(**{column: ""})
            yield from rows.values_list(column, flat=True)

    def _write(self, name, told):
        target = store.path_of(self.shop_id, name)
        target.parent.mkdir(parents=True, exist_ok=True)
        with target.open("xb") as new:
            for piece in self.file.pieces(name, told if isinstance(told, dict) else {}):
                new.write(piece)
            new.flush()
            os.fsync(new.fileno())

    def forget_files(self):
        """Of a shop that did not come in; its id was never anybody's."""
        if self.shop_id is not None:
            shutil.rmtree(store.folder_of(self.shop_id), ignore_errors=True)


def _reserved(model, rows, above):
    """So many ids in a row that nobody else is given; the id before the first of them."""
    table, column = model._meta.db_table, model._meta.pk.column
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":  # nobody else writes until this transaction ends
            cursor.execute(f'SELECT max("{column}") FROM "{table}"')
            top = cursor.fetchone()[0] or 0
            cursor.execute("SELECT seq FROM sqlite_sequence WHERE name = %s", [table])
            return max(top, *(row[0] for row in cursor.fetchall()), above)
        cursor.execute("SELECT pg_get_serial_sequence(%s, %s)", [f'"{table}"', column])
        (sequence,) = cursor.fetchone()
        cursor.execute("SELECT setval(%s, greatest(nextval(%s), %s) + %s)", [sequence, sequence, above, rows])
        return cursor.fetchone()[0] - rows


def _insert(model, columns, batch):
    """All of a batch in one go; where the database refuses it, each by itself to find the line."""
    if not batch:
        return
    names = ", ".join(f'"{field.column}"' for field in columns)
    holes = ", ".join(["%s"] * len(columns))
    sql = f'INSERT INTO "{model._meta.db_table}" ({names}) VALUES ({holes})'
    rows = [[_stored(field, value) for field, value in zip(columns, values, strict=True)] for _, values in batch]
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.executemany(sql, rows)
        return
    except DatabaseError:
        pass
    for (where, _values), row in zip(batch, rows, strict=True):
        try:
            with transaction.atomic(), connection.cursor() as cursor:
                cursor.execute(sql, row)
        except DatabaseError as wrong:
            raise Refused(f"{where}: {_plainly(wrong)}") from None
    raise Refused(f"{batch[0][0]} and what follows: the database refuses these rows together.")


def _stored(field, value):
    return value if field.is_relation else field.get_db_prep_save(value, connection)


def _plainly(wrong):
    said = str(wrong).splitlines()[0]
    if "unique" in said.lower():
        return f"something that stands once stands here already; is this shop here? ({said})"
    return f"the database refuses it ({said})"

