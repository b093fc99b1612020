"""An iCalendar file from values (RFC 5545). Knows no records; its lines are told in plain Python.

Source: RFC 5545 (September 2009), 3.1 content lines and folding, 3.3.11 text, 3.6.1 events, 3.8.7 changes; RFC 7986
(October 2016), 5.1 NAME and 5.7 REFRESH-INTERVAL; from memory, not re-read.
"""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

OCTETS = 75  # of a line, its break not counted
BREAK = "\r\n"
PRODUCT = "-//Ceilingbook//Days//EN"
OURS = uuid.UUID("5a8f2f0e-6f0b-4c5e-9d53-0f6d3c1b7e42")  # by which an event's name becomes an id that stays


@dataclass(frozen=True, slots=True)
class Event:
    """A whole day's event, or several days'. last: included. key: the same for the same thing, at every reading.

    changed: when it was last changed, in UTC; version: grows with each change.
    """

    key: str
    first: dt.date
    summary: str
    changed: dt.datetime
    last: dt.date | None = None
    description: str = ""
    location: str = ""
    url: str = ""
    version: int = 0


def calendar(name: str, events: Iterable[Event]) -> bytes:
    """The file, UTF-8. The same events give the same file, so that a reader can ask whether anything changed.

    There is no METHOD: then DTSTAMP is when the event was last changed (3.8.7.2).
    """
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{PRODUCT}",
        "CALSCALE:GREGORIAN",
        f"NAME:{text(name)}",
        f"X-WR-CALNAME:{text(name)}",
        "REFRESH-INTERVAL;VALUE=DURATION:PT1H",
    ]
    for event in events:
        lines += _event(event)
    lines.append("END:VCALENDAR")
    return "".join(fold(line) + BREAK for line in lines).encode()


def _event(event: Event) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{uuid.uuid5(OURS, event.key)}"
    yield f"DTSTAMP:{utc(event.changed)}"
    yield f"DTSTART;VALUE=DATE:{event.first:%Y%m%d}"
    # The end of whole days is the day after the last one (3.6.1).
    yield f"DTEND;VALUE=DATE:{(event.last or event.first) + dt.timedelta(1):%Y%m%d}"
    yield f"LAST-MODIFIED:{utc(event.changed)}"
    yield f"SEQUENCE:{event.version}"
    yield f"SUMMARY:{text(event.summary)}"
    if event.description:
        yield f"DESCRIPTION:{text(event.description)}"
    if event.location:
        yield f"LOCATION:{text(event.location)}"
    if event.url:
        yield f"URL:{event.url}"
    yield "TRANSP:TRANSPARENT"  # a day's work blocks nobody's day
    yield "END:VEVENT"


def utc(moment: dt.datetime) -> str:
    return f"{moment.astimezone(dt.UTC):%Y%m%dT%H%M%SZ}"


def text(value: str) -> str:
    """A text value: backslash, semicolon, comma and line break escaped (3.3.11), other control characters left out."""
    value = value.replace("\r\n", "\n").replace("\r", "\n")
    value = "".join(one for one in value if one in "\n\t" or (ord(one) >= 32 and ord(one) != 127))
    for plain, escaped in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        value = value.replace(plain, escaped)
    return value


def fold(line: str) -> str:
    """No line over 75 octets: the rest goes on in the next one behind a space, and no character is torn (3.1)."""
    pieces, piece, room = [], bytearray(), OCTETS
    for one in line:
        octets = one.encode()
        if len(piece) + len(octets) > room:
            pieces.append(piece.decode())
            piece, room = bytearray(), OCTETS - 1  # the space counts
        piece += octets
    return (BREAK + " ").join([*pieces, piece.decode()])
