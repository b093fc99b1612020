"""What an entry's digest is of, so that it comes out the same from a trigger of either engine and from here."""

import datetime as dt
import hashlib

NOTHING = "~"


def content(parts) -> str:
    """Each part as its number of characters, a colon and itself; what is absent as a tilde. None runs into the next."""
    return "".join(NOTHING if part is None else f"{len(text)}:{text}" for part in parts for text in (str(part),))


def digest(at, shop, job, room, what, record, did, before, after, member, user, via, request) -> str:
    """SHA-256 over all an entry says; at is aware, to the microsecond. 64 hex digits."""
    parts = (micros(at), shop, job, room, what, record, did, before, after, member, user, via, request)
    return sha(content(parts))


def micros(at: dt.datetime) -> int:
    since = at - dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
    return (since.days * 86_400 + since.seconds) * 1_000_000 + since.microseconds


def sha(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
