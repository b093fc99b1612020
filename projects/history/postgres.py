"""Triggers on PostgreSQL, and how the database hears who is speaking. Knows no table.

The session's settings say who speaks; they are set just before a statement that may write, and only when they are not
what they were. What is set inside a transaction goes when that is rolled back, or a savepoint is: whether it still
stands is read off the connection's own list of what is to be done on commit.
"""

from django.conf import settings

from projects.history import flags
from projects.history.models import WHOLE, Did
from projects.history.recorded import Table
from projects.platform.speaking import speaker
from projects.platform.walling import wall

READS = ("SELECT", "WITH")
TELLS_NOTHING = ("SAVEPOINT", "RELEASE", "ROLLBACK", "SET ", "SHOW ", "DECLARE", "FETCH", "CLOSE")

SHARED = f"""
CREATE OR REPLACE FUNCTION history_part(part text) RETURNS text LANGUAGE sql IMMUTABLE AS
$$ SELECT CASE WHEN part IS NULL THEN '~' ELSE length(part)::text || ':' || part END $$;

CREATE OR REPLACE FUNCTION history_said(name text) RETURNS text LANGUAGE sql STABLE AS
$$ SELECT coalesce(current_setting('ceilingbook.' || name, true), '') $$;

CREATE OR REPLACE FUNCTION history_shown(kept jsonb, hidden text[], long text[]) RETURNS jsonb
LANGUAGE plpgsql IMMUTABLE AS $$
DECLARE name text; value text;
BEGIN
  FOREACH name IN ARRAY hidden LOOP
    IF coalesce(kept ->> name, '') <> '' THEN kept := jsonb_set(kept, ARRAY[name], '"…"'); END IF;
  END LOOP;
  FOREACH name IN ARRAY long LOOP
    value := kept ->> name;
    IF length(value) > {WHOLE} THEN
      kept := jsonb_set(kept, ARRAY[name], jsonb_build_object('characters', length(value),
        'sha256', encode(sha256(convert_to(value, 'UTF8')), 'hex')));
    END IF;
  END LOOP;
  RETURN kept;
END $$;

CREATE OR REPLACE FUNCTION history_keep(what text, record text, did text, shop bigint, job bigint, room bigint,
  before jsonb, after jsonb) RETURNS void LANGUAGE plpgsql AS $$
DECLARE
  said_at timestamptz := clock_timestamp();
  was text := coalesce(before::text, '');
  is_now text := coalesce(after::text, '');
  member bigint := nullif(history_said('member'), '')::bigint;
  person bigint := nullif(history_said('user'), '')::bigint;
  via text := history_said('via');
  request text := history_said('request');
  seen text;
BEGIN
  shop := coalesce(shop, nullif(history_said('shop'), '')::bigint);
  -- Worked out here: inside the statement it would be planned anew for each row.
  seen := encode(sha256(convert_to(
      history_part((extract(epoch FROM said_at) * 1000000)::bigint::text) || history_part(shop::text)
      || history_part(job::text) || history_part(room::text) || history_part(what) || history_part(record)
      || history_part(did) || history_part(was) || history_part(is_now) || history_part(member::text)
      || history_part(person::text) || history_part(via) || history_part(request), 'UTF8')), 'hex');
  INSERT INTO history_entry (at, shop_id, job_id, room_id, what, record, did, before, after, member_id, user_id, via,
    request, digest, redacted)
  VALUES (said_at, shop, job, room, what, record, did, was, is_now, member, person, via, request, seen, '');
END $$;

CREATE OR REPLACE FUNCTION history_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF TG_OP IN ('DELETE', 'TRUNCATE') AND history_said('may') = '{flags.FLUSH}' THEN RETURN OLD; END IF;
  IF TG_OP = 'UPDATE' AND TG_TABLE_NAME = 'history_entry' AND history_said('may') = '{flags.ERASE}' THEN
    IF NEW.id = OLD.id AND NEW.digest = OLD.digest AND NEW.shop_id IS NOT DISTINCT FROM OLD.shop_id THEN
      RETURN NEW;
    END IF;
  END IF;
  RAISE EXCEPTION 'The history is only added to.' USING ERRCODE = 'integrity_constraint_violation';
END $$;
"""


def function(table: Table) -> str:
    """What a change of one table does. It is called after each row."""
    hidden = _array(column.name for column in table.columns if column.secret)
    long = _array(column.name for column in table.columns if column.long)
    shown = hidden + long != "'{}''{}'"
    show = (lambda side: f"history_shown({side}, {hidden}, {long})") if shown else (lambda side: side)
    silent = _array(table.quiet)
    less = f" - {silent}::text[]" if table.quiet else ""
    compare = "".join(
        f"  IF OLD.{name} IS DISTINCT FROM NEW.{name} THEN"
        f" was := was || jsonb_build_object('{column.name}', OLD.{name});"
        f" is_now := is_now || jsonb_build_object('{column.name}', NEW.{name}); END IF;\n"
        for column in table.columns
        for name in (f'"{column.name}"',)
    )
    return f"""
CREATE OR REPLACE FUNCTION "history_of_{table.name}"() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE was jsonb; is_now jsonb; r "{table.name}"%ROWTYPE; did text;
BEGIN
  IF current_setting('ceilingbook.history', true) = 'off' THEN RETURN NULL; END IF;
  IF TG_OP = 'UPDATE' THEN
  did := '{Did.CHANGED}'; r := NEW; was := '{{}}'; is_now := '{{}}';
{compare}  IF was = '{{}}' THEN RETURN NULL; END IF;
  ELSIF TG_OP = 'INSERT' THEN did := '{Did.ADDED}'; r := NEW; is_now := to_jsonb(NEW){less};
  ELSE did := '{Did.REMOVED}'; r := OLD; was := to_jsonb(OLD){less};
  END IF;
  PERFORM history_keep('{table.name}', r."{table.key}"::text, did, {table.shop.format(row="r") or "NULL"},
    {table.job.format(row="r") or "NULL"}, {table.room.format(row="r") or "NULL"},
    {show("was")}, {show("is_now")});
  RETURN NULL;
END $$;
"""


def _array(names) -> str:
    return "'{" + ",".join(names) + "}'"


def trigger(table: Table, mark: str) -> str:
    return (
        f'CREATE TRIGGER "history_{mark}" AFTER INSERT OR UPDATE OR DELETE ON "{table.name}" '
        f'FOR EACH ROW EXECUTE FUNCTION "history_of_{table.name}"();'
    )


def refusals(mark: str) -> str:
    return "".join(
        f"CREATE TRIGGER history_fixed_{mark} BEFORE UPDATE OR DELETE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION history_refuse();"
        f"CREATE TRIGGER history_whole_{mark} BEFORE TRUNCATE ON {table} "
        f"FOR EACH STATEMENT EXECUTE FUNCTION history_refuse();"
        for table in ("history_entry", "history_seal")
    )


class Teller:
    """Tells one connection who is speaking: an execute wrapper of Django's.

    Before what may write; before what reads only where rows are walled off by who speaks (projects.walls).
    """

    def __init__(self, connection):
        self.connection = connection
        self.told = self.raw = None  # what this session was told, and which session that was
        self.pending = None  # set inside a transaction: the entry that stands while it may still be rolled back

    def __call__(self, execute, sql, params, many, context):
        broken = self.connection.needs_rollback  # Django refuses the statement in its own words
        if not broken and not (isinstance(sql, str) and sql.lstrip()[:12].upper().startswith(self._unheard())):
            self.tell()
        return execute(sql, params, many, context)

    @staticmethod
    def _unheard() -> tuple[str, ...]:
        """How a statement begins that asks for nobody's name."""
        return TELLS_NOTHING if settings.ROW_WALL else READS + TELLS_NOTHING

    def tell(self) -> None:
        wanted = _words()
        if wanted == self.told and self._stands():
            return
        raw = self.connection.connection
        with self.connection.wrap_database_errors, raw.cursor() as cursor:
            cursor.execute(SETTING, wanted)
        self.told, self.raw, self.pending = wanted, raw, None
        if self.connection.in_atomic_block:
            def committed():
                if self.pending is committed:
                    self.pending = None

            self.pending = committed
            self.connection.run_on_commit.append((set(self.connection.savepoint_ids), committed, True))

    def _stands(self) -> bool:
        if self.raw is not self.connection.connection:
            return False
        pending = self.pending
        return pending is None or any(call is pending for _, call, _ in self.connection.run_on_commit)


NAMES = ("shop", "member", "user", "via", "request", "history", "may", "wall")
SETTING = "SELECT " + ", ".join(f"set_config('ceilingbook.{name}', %s, false)" for name in NAMES)


def _words() -> tuple[str, ...]:
    now = speaker()
    ids = ("" if each is None else str(each) for each in (now.shop, now.member, now.user))
    told = "" if flags.wanted() else "off"
    return (*ids, now.via[:20], now.request[:200].replace("\0", ""), told, flags.may(), wall())
