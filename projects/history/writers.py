"""Who is still writing, on PostgreSQL: an entry may appear after one with a higher number until they have ended."""

from django.db import connection

# A snapshot lists only those who began before the newest that ended; mark() is one that ended, so after it none is
# missing. Who writes in another database of the same server has no entries here; one that can't be told counts as ours
# unless it has ended since, which is asked last: then whoever reads after this sees what it wrote.
OLDEST = """
    WITH now AS MATERIALIZED (SELECT pg_current_snapshot() AS taken)
    SELECT coalesce(min(writing::text::bigint), (SELECT pg_snapshot_xmax(taken)::text::bigint FROM now))
    FROM now, pg_snapshot_xip(taken) AS writing
    WHERE CASE
        WHEN EXISTS (
            SELECT FROM pg_stat_activity WHERE backend_xid = writing::xid AND datname <> current_database()
        ) THEN false
        ELSE pg_xact_status(writing) = 'in progress'
    END"""


def mark() -> int:
    """The number of a transaction of its own, begun and ended here: all who were writing by now have a lower one."""
    return _number("SELECT pg_current_xact_id()::text::bigint")


def oldest() -> int:
    """The lowest number of those who write in this database; above every mark when nobody of before it does.

    Inside a transaction this is as old as its first look.
    """
    return _number(OLDEST)


def _number(sql: str) -> int:
    with connection.cursor() as cursor:
        cursor.execute(sql)
        (number,) = cursor.fetchone()
    return number
