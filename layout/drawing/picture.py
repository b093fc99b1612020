"""One drawing as a page or a paper takes it: an SVG, what it shows in words, and its facts as a table."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Table:
    """A picture's facts as rows. Each row begins with its own heading; heads names the columns, the first included."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """One drawing. svg: one element, sized in millimeters. words: what it shows, for those who can't see it."""

    key: str
    title: str
    words: str
    svg: str
    table: Table
