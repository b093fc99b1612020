"""A PostgreSQL database as one text a table, read at one moment, and put back. No program beside the server is needed.

Each text is what COPY writes, gzipped. Sequences are kept as far as they were, so that no id is given twice.
"""

import gzip
from pathlib import Path

TABLES = """
    SELECT c.relname, array_agg(a.attname ORDER BY a.attnum)
    FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid
    WHERE c.relkind = 'r' AND c.relnamespace = current_schema()::regnamespace
      AND a.attnum > 0 AND NOT a.attisdropped AND a.attgenerated = ''
    GROUP BY c.relname ORDER BY c.relname
"""
SEQUENCES = "SELECT sequencename, last_value FROM pg_sequences WHERE schemaname = current_schema() ORDER BY 1"
FASTEST = 1


def begin(cursor):
    """From now on everything is read as it is now, of every shop."""
    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
    cursor.execute("SET LOCAL ceilingbook.wall = 'every'")


def tables(cursor) -> dict[str, list[str]]:
    cursor.execute(TABLES)
    return dict(cursor.fetchall())


def sequences(cursor) -> dict[str, int]:
    """How far each is; what was never used is left out."""
    cursor.execute(SEQUENCES)
    return {name: value for name, value in cursor.fetchall() if value is not None}


def write(cursor, folder: Path) -> dict[str, dict]:
    """Each table into a file of its own. Returns {table: {"columns", "rows"}}."""
    told = {}
    for table, columns in tables(cursor).items():
        rows = 0
        read = cursor.copy(f'COPY (SELECT {_named(columns)} FROM "{table}") TO STDOUT')
        with gzip.open(path_of(folder, table), "wb", compresslevel=FASTEST) as file, read as lines:
            for piece in lines:
                file.write(piece)
                rows += bytes(piece).count(b"\n")  # a line feed in a value is written as \n
        told[table] = {"columns": columns, "rows": rows}
    return told


def path_of(folder: Path, table: str) -> Path:
    return folder / f"{table}.copy.gz"


def put_back(cursor, folder: Path, told: dict[str, dict], kept: dict[str, int]):
    """Fill tables of the same migrations, whatever they hold, in the transaction that is open.

    The rows come as they were: what happens on an insert (an entry in a history) happened when they were first written.
    """
    names = ", ".join(f'"{table}"' for table in told)
    for table in told:
        cursor.execute(f'ALTER TABLE "{table}" DISABLE TRIGGER USER')
    cursor.execute(f"TRUNCATE {names}")
    for table, about in told.items():
        fill = cursor.copy(f'COPY "{table}" ({_named(about["columns"])}) FROM STDIN')
        with gzip.open(path_of(folder, table), "rb") as file, fill as lines:
            while piece := file.read(1 << 20):
                lines.write(piece)
    cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    for table in told:
        cursor.execute(f'ALTER TABLE "{table}" ENABLE TRIGGER USER')
    for name, value in kept.items():
        cursor.execute("SELECT setval(%s::regclass, %s)", [f'"{name}"', value])


def look_over(cursor) -> dict[str, int]:
    """Rows by table."""
    counted = {}
    for table in tables(cursor):
        cursor.execute(f'SELECT count(*) FROM "{table}"')
        counted[table] = cursor.fetchone()[0]
    return counted


def _named(columns):
    return ", ".join(f'"{name}"' for name in columns)
