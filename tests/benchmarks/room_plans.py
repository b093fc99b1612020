"""How the database goes about the pages' queries in a shop of hundreds of thousands of rooms: each query's plan.

Told are the slowest queries of each page with the database's own time, and every table of a thousand rows and more that
is read from end to end. Plans are asked for with the values that the page asked with.
"""

import re
from time import perf_counter

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.benchmarks.load_shop import thrown_away, without_history
from tests.benchmarks.rooms_times import PAGES, shop_of

LARGE = 1_000  # rows; a smaller table is best read whole
MORE = (("API list of rooms", "/api/v1/rooms/"), ("API list, page 400", "/api/v1/rooms/?page=400"),
        ("search", "/search/?q=Room+777"))  # fmt: skip


def in_its_own_database(sizes):
    for rooms in sizes:
        with thrown_away(), without_history():
            yield from report(rooms)


def plan_of(sql):
    """The plan's lines. On PostgreSQL the query is run for it, with the time each step took."""
    how = "EXPLAIN (ANALYZE, COSTS OFF) " if connection.vendor == "postgresql" else "EXPLAIN QUERY PLAN "
    with connection.cursor() as cursor:
        cursor.execute(how + sql.replace("%", "%%") if connection.vendor == "postgresql" else how + sql)
        return [str(row[-1]) for row in cursor.fetchall()]


def read_whole(plan):
    """Tables that a plan reads from end to end."""
    pattern = r"Seq Scan on (\w+)" if connection.vendor == "postgresql" else r"^SCAN (\w+)(?! USING)"
    return {found[1] for line in plan if (found := re.search(pattern, line))}


def rows_of(tables):
    with connection.cursor() as cursor:
        for table in tables:
            cursor.execute(f'SELECT count(*) FROM "{table}"')
            yield table, cursor.fetchone()[0]


def report(rooms):
    began = perf_counter()
    owner = shop_of(rooms)
    yield f"{connection.vendor}: {rooms:,} rooms, seeded in {perf_counter() - began:.0f} s"
    client = Client()
    client.force_login(owner)
    whole = {}
    for name, address in (*PAGES, *MORE):
        client.get(address)
        with CaptureQueriesContext(connection) as seen:
            began = perf_counter()
            answer = client.get(address)
            took = perf_counter() - began
        asked = sorted(seen.captured_queries, key=lambda query: -float(query["time"]))
        slow = ", ".join(f"{1000 * float(query['time']):.0f}" for query in asked[:3])
        yield f"  {name:<24} {answer.status_code} {took:>6.2f} s, {len(asked):>2} queries, the slowest {slow} ms"
        for query in asked:
            if query["sql"].startswith("SELECT"):
                for table in read_whole(plan_of(query["sql"])):
                    whole.setdefault(table, set()).add(name)
    large = {table: rows for table, rows in rows_of(whole) if rows >= LARGE}
    for table, rows in sorted(large.items(), key=lambda each: -each[1]):
        yield f"  read from end to end: {table}, {rows:,} rows, by {', '.join(sorted(whole[table]))}"
    if not large:
        yield "  no table of a thousand rows is read from end to end"
