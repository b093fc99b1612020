"""Triggers on SQLite, and the functions of each connection that they call. Knows no table.

What changed is worked out where a trigger is asked whether it has anything to do: once a row, before its body runs.
The body then only asks for what was found. A program without these functions can't write to these tables at all.
"""

import datetime as dt
import hashlib
import json
from functools import lru_cache

from projects.history import content, flags
from projects.history.models import WHOLE, Did
from projects.history.recorded import Table
from projects.platform.speaking import speaker

MOST_COLUMNS = 60  # a function takes 127 arguments, and a change has each column twice
COLUMNS = (
    "at, shop_id, job_id, room_id, what, record, did, before, after, member_id, user_id, via, request, digest, redacted"
)
NOT_THERE = {1: Did.ADDED.value, 2: Did.REMOVED.value}  # what was added was nothing before
HIDDEN = "…"  # stands for a secret that is there


def triggers(table: Table) -> dict[str, str]:
    """{what the trigger's name begins with: everything after its name} for one table."""
    if len(table.columns) > MOST_COLUMNS:
        raise ValueError(f"{table.name} has more than {MOST_COLUMNS} columns that are told. Part the table.")
    return {
        f"history_i_{table.name}": _trigger(table, Did.ADDED, "INSERT", ("NEW",)),
        f"history_u_{table.name}": _trigger(table, Did.CHANGED, "UPDATE", ("OLD", "NEW")),
        f"history_d_{table.name}": _trigger(table, Did.REMOVED, "DELETE", ("OLD",)),
    }


def _trigger(table, did, event, rows):
    row = rows[-1]
    told = ",".join(f"{row}.{_name(column.name)}" for row in rows for column in table.columns)
    ids = ",".join(way.format(row=row) or "NULL" for way in (table.shop, table.job, table.room))
    return (
        f'AFTER {event} ON "{table.name}" WHEN history_look(\'{_spec(table)}\',{told}) BEGIN '
        f"INSERT INTO history_in VALUES('{table.name}','{did.value}',{row}.{_name(table.key)},{ids});END"
    )


def _name(column):
    """Unquoted where it may be: a connection reads the text of all triggers before its first statement."""
    return f'"{column}"' if column.upper() in KEYWORDS else column


# Words that SQLite reads as its own (sqlite.org/lang_keywords.html, from memory) and a column may be called by.
KEYWORDS = {"ADD", "ALL", "AND", "AS", "BETWEEN", "BY", "CASE", "CHECK", "COLLATE", "COMMIT", "CREATE", "DEFAULT",
            "DELETE", "DISTINCT", "DROP", "ELSE", "END", "ESCAPE", "EXISTS", "FOREIGN", "FROM", "GROUP", "HAVING",
            "IN", "INDEX", "INSERT", "INTO", "IS", "JOIN", "LIMIT", "NOT", "NULL", "ON", "OR", "ORDER", "PRIMARY",
            "REFERENCES", "SELECT", "SET", "TABLE", "THEN", "TO", "UNION", "UNIQUE", "UPDATE", "USING", "VALUES",
            "WHEN", "WHERE", "FILTER", "OVER", "WINDOW", "RETURNING", "NOTHING", "GENERATED"}  # fmt: skip

# What a table's trigger says goes through this view, whose own trigger adds who spoke and when.
VIEW = "history_in"
MAKE_VIEW = f"CREATE VIEW IF NOT EXISTS {VIEW} AS SELECT '' what, '' did, '' record, 0 shop, 0 job, 0 room"
ARRIVING = {
    "history_arriving": (
        f"INSTEAD OF INSERT ON {VIEW} BEGIN INSERT INTO history_entry ({COLUMNS}) VALUES (history_found(0), "
        "history_shop(NEW.shop), NEW.job, NEW.room, NEW.what, CAST(NEW.record AS TEXT), NEW.did, "
        "history_side(1, NEW.did), history_side(2, NEW.did), history_who(1), history_who(2), history_who(3), "
        "history_who(4), history_digest(NEW.shop, NEW.job, NEW.room, NEW.what, NEW.record, NEW.did), ''); END"
    )
}


def _spec(table):
    """Columns by name, with a mark after those that are not kept as they are. One text, read once."""
    return ",".join(
        column.name + ("!" if column.secret else "~" if column.long else "?" if column.yes_no else "")
        for column in table.columns
    )


REFUSED = "BEGIN SELECT RAISE(ABORT, 'The history is only added to.'); END"
# A name that is taken out leaves the digest of what was written, and all but the two texts.
REFUSALS = {
    "history_fixed_u_entry": (
        "BEFORE UPDATE ON history_entry WHEN history_may() <> 'erase' OR NEW.id IS NOT OLD.id "
        f"OR NEW.digest IS NOT OLD.digest OR NEW.shop_id IS NOT OLD.shop_id {REFUSED}"
    ),
    "history_fixed_d_entry": f"BEFORE DELETE ON history_entry WHEN history_may() <> 'flush' {REFUSED}",
    "history_fixed_u_seal": f"BEFORE UPDATE ON history_seal {REFUSED}",
    "history_fixed_d_seal": f"BEFORE DELETE ON history_seal WHEN history_may() <> 'flush' {REFUSED}",
}


def teach(raw) -> None:
    """Give one connection the functions that triggers call."""
    found: list = ["", "", ""]  # when, before, after
    who: list = [None] * 5

    def look(spec, *values):
        if not flags.wanted():
            return 0
        columns = _read(spec)
        n = len(columns)
        if len(values) == n:
            words = json.dumps({c: say(v) for (c, say), v in zip(columns, values, strict=True)}, ensure_ascii=False)
            found[1] = found[2] = words
        else:
            changed = [
                (c, say(old), say(new), old, new)
                for (c, say), old, new in zip(columns, values[:n], values[n:], strict=True)
                if old != new
            ]
            if not changed:
                return 0
            found[1] = json.dumps({c: old for c, old, *_ in changed}, ensure_ascii=False)
            found[2] = json.dumps({c: new for c, _, new, *_ in changed}, ensure_ascii=False)
        found[0] = _now()
        now = speaker()
        who[:] = now.shop, now.member, now.user, now.via[:20], now.request[:200]
        return 1

    def side(number, did):
        return "" if did == NOT_THERE[number] else found[number]

    def shop_of(shop):
        return who[0] if shop is None else shop

    def digest(shop, job, room, what, record, did):
        at = dt.datetime.fromisoformat(found[0]).replace(tzinfo=dt.UTC)
        return content.digest(
            at, shop_of(shop), job, room, what, record, did, side(1, did), side(2, did), *who[1:]
        )  # fmt: skip

    raw.create_function("history_look", -1, look)
    raw.create_function("history_found", 1, found.__getitem__)
    raw.create_function("history_side", 2, side)
    raw.create_function("history_shop", 1, shop_of)
    raw.create_function("history_who", 1, who.__getitem__)
    raw.create_function("history_digest", 6, digest)
    raw.create_function("history_may", 0, flags.may)


def _now():
    """As Django writes a moment into SQLite, always with its microseconds."""
    return dt.datetime.now(dt.UTC).strftime("%Y-%m-%d %H:%M:%S.%f")


@lru_cache(maxsize=1000)
def _read(spec):
    return [_column(word) for word in spec.split(",")]


def _column(word):
    for mark, say in (("!", hidden), ("~", shortened), ("?", yes_no)):
        if word.endswith(mark):
            return word[:-1], say
    return word, _as_it_is


def hidden(value):
    return value and HIDDEN


def yes_no(value):
    return None if value is None else bool(value)


def shortened(value):
    """A text as it is up to WHOLE characters, a longer one and bytes as how much they are and their SHA-256."""
    if isinstance(value, bytes):
        return {"bytes": len(value), "sha256": hashlib.sha256(value).hexdigest()}
    if isinstance(value, str) and len(value) > WHOLE:
        return {"characters": len(value), "sha256": content.sha(value)}
    return value


def _as_it_is(value):
    return value.hex() if isinstance(value, bytes) else value
