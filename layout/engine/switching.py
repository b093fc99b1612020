"""Which light is on which switch, and the names that follow: A1, A2 … B1. Knows marks; not circuits, boxes or pages.

A zone here is what one switch or dimmer turns on. Parts of a ceiling that are laid out by themselves are layout.engine
.zones' business: until somebody says otherwise each of them is a zone of its own, and a plain room is zone A.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from layout.engine.findings import Finding
from layout.engine.marks import Kind, Mark
from layout.engine.rows.arrange import Arrangement

LETTERS = tuple("ABCDEFGHIJKLMNOPQRSTUVWXYZ")


@dataclass(frozen=True, slots=True)
class Switched:
    """One light on another switch than its ceiling's own. number: which light of its row, from the zero corner."""

    row: int
    number: int
    zone: str


@dataclass(frozen=True, slots=True)
class Named:
    """An arrangement under its switches' names. gone: what was said of lights that aren't there now."""

    arrangement: Arrangement
    gone: tuple[Switched, ...] = ()


def places(marks: Sequence[Mark]) -> dict[tuple[int, int], Mark]:
    """Each light by its row and its number in it, as a crew counts from the zero corner."""
    found: dict[tuple[int, int], Mark] = {}
    in_row: dict[int, int] = {}
    for mark in marks:
        if mark.kind is Kind.LIGHT:
            in_row[mark.row] = in_row.get(mark.row, 0) + 1
            found[mark.row, in_row[mark.row]] = mark
    return found


def named(arrangement: Arrangement, switched: Sequence[Switched]) -> Named:
    """The arrangement with each light on its switch, counted on each from 1 in the order of the marks.

    Nothing said: the very same arrangement, so that what was issued before anybody drew zones keeps its names. What is
    found wrong speaks of the new names; speakers and subwoofers keep theirs.
    """
    if not switched:
        return Named(arrangement)
    there = places(arrangement.marks)
    letters = {mark.id: mark.zone for mark in there.values()}
    letters |= {there[one.row, one.number].id: one.zone for one in switched if (one.row, one.number) in there}
    counts: dict[str, int] = {}
    names: dict[str, str] = {}
    marks = []
    for mark in arrangement.marks:
        if mark.kind is not Kind.LIGHT:
            marks.append(mark)
            continue
        zone = letters[mark.id]
        counts[zone] = counts.get(zone, 0) + 1
        names[mark.id] = f"{zone}{counts[zone]}"
        marks.append(replace(mark, id=names[mark.id], zone=zone))
    findings = tuple(_renamed(finding, names) for finding in arrangement.findings)
    gone = tuple(one for one in switched if (one.row, one.number) not in there)
    return Named(replace(arrangement, marks=tuple(marks), findings=findings), gone)


def _renamed(finding: Finding, names: Mapping[str, str]) -> Finding:
    about = finding.subject.split(", ")
    return replace(finding, subject=", ".join(names.get(name, name) for name in about))


def said(plain: Sequence[Mark], letters: Mapping[tuple[int, int], str]) -> tuple[Switched, ...]:
    """What has to be kept for these letters: only lights on another switch than their ceiling's own.

    Args: plain: the room's marks with nothing said. letters: by row and number.
    """
    own = places(plain)
    return tuple(
        Switched(row, number, zone)
        for (row, number), zone in sorted(letters.items())
        if (row, number) in own and own[row, number].zone != zone
    )
