"""The calendar as a file: read by a general library, and held against RFC 5545's rules by hand."""

import datetime as dt
import re

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.days import ics

CHANGED = dt.datetime(2026, 11, 2, 14, 30, tzinfo=dt.UTC)


def event(**more):
    told = {"key": "one", "first": dt.date(2026, 12, 4), "summary": "Rough-in", "changed": CHANGED, **more}
    return ics.Event(**told)


def read(*events, name="Shop"):
    return icalendar.Calendar.from_ical(ics.calendar(name, events))


def lines_of(content):
    """By RFC 5545, 3.1, read by hand: CRLF breaks, and a line that begins with a space goes on the one before."""
    assert content.endswith(b"\r\n")
    assert b"\n" not in content.replace(b"\r\n", b"") and b"\r" not in content.replace(b"\r\n", b"")
    physical = content.split(b"\r\n")[:-1]
    assert max(len(line) for line in physical) <= 75, "octets of a line, its break not counted (3.1)"
    for line in physical:
        line.decode()  # no character is torn
    return content.replace(b"\r\n ", b"").decode().split("\r\n")[:-1]


def test_a_library_reads_back_what_was_said():
    calendar = read(
        event(
            summary="Rough-in: 26-014 Saltgrass; west, upper",
            description="Den\nHall",
            location="9 Quay Lane",
            url="https://book.example/jobs/4/",
            version=7,
        )
    )
    (told,) = calendar.walk("VEVENT")
    assert str(told["SUMMARY"]) == "Rough-in: 26-014 Saltgrass; west, upper"
    assert str(told["DESCRIPTION"]) == "Den\nHall"
    assert (str(told["LOCATION"]), str(told["URL"])) == ("9 Quay Lane", "https://book.example/jobs/4/")
    assert told.decoded("DTSTART") == dt.date(2026, 12, 4)
    assert told.decoded("DTEND") == dt.date(2026, 12, 5), "RFC 5545, 3.6.1: the end of a whole day is the next one"
    assert told.decoded("DTSTAMP") == CHANGED and told.decoded("LAST-MODIFIED") == CHANGED
    assert told["SEQUENCE"] == 7
    assert calendar["VERSION"] == "2.0" and calendar["PRODID"]


def test_what_a_calendar_must_have_is_there_once_and_in_place():
    """RFC 5545, 3.4, 3.6, 3.6.1: PRODID and VERSION of a calendar, UID and DTSTAMP of an event, each exactly once."""
    lines = lines_of(ics.calendar("Shop", [event(), event(key="two")]))
    assert lines[0] == "BEGIN:VCALENDAR" and lines[-1] == "END:VCALENDAR"
    assert [sum(line.startswith(name) for line in lines) for name in ("PRODID:", "VERSION:2.0", "METHOD")] == [1, 1, 0]
    assert [sum(line.startswith(name) for line in lines) for name in ("UID:", "DTSTAMP:", "DTSTART;")] == [2, 2, 2]
    assert len({line for line in lines if line.startswith("UID:")}) == 2
    assert "DTSTART;VALUE=DATE:20261204" in lines and "DTSTAMP:20261102T143000Z" in lines


def test_text_is_escaped_as_the_standard_says():
    r"""RFC 5545, 3.3.11 (from memory): its example "Final Review\nConference Room - 3B", and \\ \; \,."""
    assert ics.text("Final Review\nConference Room - 3B") == r"Final Review\nConference Room - 3B"
    assert ics.text("a,b;c\\n") == r"a\,b\;c\\n"
    assert ics.text("one\r\ntwo\rthree") == r"one\ntwo\nthree"


def test_a_name_can_put_no_line_of_its_own_into_the_file():
    wicked = "Den\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:made up\x00\x1b"
    content = ics.calendar(wicked, [event(summary=wicked, location=wicked)])
    assert sum(line == "BEGIN:VEVENT" for line in lines_of(content)) == 1
    assert not re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", content)
    (told,) = icalendar.Calendar.from_ical(content).walk("VEVENT")
    assert "made up" in str(told["SUMMARY"])


def test_a_long_line_of_many_octet_letters_is_folded_between_them():
    long = "Größe é 木 🔨 " * 40
    content = ics.calendar("Shop", [event(summary=long)])
    assert any(line == "SUMMARY:" + long for line in lines_of(content))
    assert str(icalendar.Calendar.from_ical(content).walk("VEVENT")[0]["SUMMARY"]) == long


def test_a_line_of_exactly_75_octets_is_not_folded_and_one_more_is():
    """RFC 5545, 3.1: lines should not be longer than 75 octets, excluding the break."""
    assert ics.fold("x" * 75) == "x" * 75
    assert ics.fold("x" * 76) == "x" * 75 + "\r\n " + "x"
    assert ics.fold("x" * 150) == "x" * 75 + "\r\n " + "x" * 74 + "\r\n " + "x"


def test_the_same_thing_keeps_its_id_and_another_gets_another():
    first, moved, other = (
        str(read(one).walk("VEVENT")[0]["UID"])
        for one in (event(), event(first=dt.date(2027, 1, 2), summary="moved"), event(key="two"))
    )
    assert first == moved != other


PRINTED = st.text(st.characters(exclude_categories=("Cs", "Cc"), include_characters="\n"), max_size=200)


@given(PRINTED, PRINTED)
def test_whatever_people_write_comes_back_as_written(summary, place):
    content = ics.calendar("Shop", [event(summary=summary, location=place)])
    lines_of(content)
    (told,) = icalendar.Calendar.from_ical(content).walk("VEVENT")
    assert str(told["SUMMARY"]) == summary
    assert str(told.get("LOCATION", "")) == place


@pytest.mark.parametrize("last, end", [(None, "20261205"), (dt.date(2026, 12, 6), "20261207")])
def test_the_end_is_the_day_after_the_last_one(last, end):
    assert f"DTEND;VALUE=DATE:{end}" in lines_of(ics.calendar("Shop", [event(last=last)]))
