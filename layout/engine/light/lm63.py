"""Reads LM-63 photometric files: the editions of 1986 (no version line), 1991, 1995, 2002 and 2019.

The layout of the file is told in ANSI/IESNA LM-63-02 (definitions and delimiters seen in an excerpt), in a published
description of the three editions before it (openings and horizontal ranges, seen), and for 2019 in the readme of the
glTF extension EXT_lights_ies (seen); the meaning of lamp geometry under TILT is from memory.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from layout.engine.light.openings import opening_of
from layout.engine.light.photometry import Photometry
from layout.engine.light.symmetry import unfold
from layout.engine.light.tokens import BRIGHTEST_CD, MOST_LUMENS, MOST_VALUES, MOST_WATTS, FileError, Numbers, lines_of
from layout.engine.light.values import METERS_IN_A_FOOT, Floats

__all__ = ["FileError", "LightFile", "Tilt", "read"]


_VERSION = re.compile(r"IES(?:NA)?\s*:?\s*(?:LM-?63-?)?\s*(?:19|20)?(\d\d)", re.IGNORECASE)
_CLAIMS_VERSION = re.compile(r"IES(NA)?\s*:?\s*(LM-?63|\d)", re.IGNORECASE)
_EDITIONS = {"86": 1986, "91": 1991, "95": 1995, "02": 2002, "19": 2019}
_KEYWORD = re.compile(r"\[([^\]]*)\](.*)")
_TILT = re.compile(r"\s*TILT\s*=(.*)", re.IGNORECASE)
_REQUIRED = {1991: ("TEST", "MANUFAC"), 1995: ("TEST", "MANUFAC"), 2002: ("TEST", "TESTLAB", "ISSUEDATE", "MANUFAC")}
_RADIOMETRIC = re.compile(r"\b[mµu]?w\s*/\s*sr\b|radiometr|watts? per steradian", re.IGNORECASE)

_MOST_HEADER_LINES = 2_000
_LONGEST_HEADER_LINE = 2_000
_MOST_TILT_ANGLES = 1_000
_SMALLEST_FACTOR, _LARGEST_FACTOR = 1e-4, 1e5
_LARGEST_BALLAST = 10.0
_LARGEST_OPENING_M = 100.0
_APART = 0.02  # of the brightest
_OVER = 1.005  # more flux than the lamps' by more than rounding


@dataclass(frozen=True, slots=True)
class Tilt:
    """How the lamp's output changes as the light is tilted. The file's own candelas are for its tested position.

    geometry 1: the lamp stands when the light points straight down; 2: it lies and stays level however the light is
    tilted; 3: it lies and tilts with the light (from memory).
    """

    geometry: int
    angles_deg: tuple[float, ...]
    factors: tuple[float, ...]

    def factor_at(self, tilt_deg: float) -> float:
        """What the candelas are multiplied by when the light is tilted so far from straight down."""
        if self.geometry == 2:
            return self.factors[0]
        return float(np.interp(abs(tilt_deg), self.angles_deg, self.factors))


@dataclass(frozen=True, slots=True, eq=False)
class LightFile:
    """What a photometric file tells. photometry has every factor in; lumens_per_lamp is None when absolute."""

    edition: str  # LM-63-1986 .. LM-63-2019
    keywords: Mapping[str, str]
    labels: tuple[str, ...]  # lines before TILT that are no keywords
    photometry: Photometry
    lamps: int
    lumens_per_lamp: float | None
    multiplier: float
    ballast_factor: float
    field_12: float  # ballast-lamp factor to 1991 (in the candelas), later unused, in 2019 how the file was made
    watts: float
    units: str  # of the opening, as the file tells it: "feet" or "meters"
    shape: str  # of the opening
    symmetry: str
    tilt: Tilt | None
    warnings: tuple[str, ...]
    kind: str = "C"

    @property
    def absolute(self) -> bool:
        """Measured as a whole; there are no rated lumens of its lamps."""
        return self.lumens_per_lamp is None

    @property
    def output_ratio(self) -> float | None:
        """Flux of the light over rated flux of its lamps, None when absolute."""
        rated = self.lamps * (self.lumens_per_lamp or 0.0)
        return self.photometry.flux_lm / rated if rated else None


def read(text: str | bytes) -> LightFile:
    """Raises FileError, with line, token and what was expected, when a file is not a whole one of type C photometry."""
    lines = lines_of(text)
    tilt_line, tilt_word = _find_tilt(lines)
    edition, header = _edition(lines[:tilt_line])
    keywords, labels = _keywords(header)
    numbers = Numbers(lines[tilt_line + 1 :], tilt_line + 2)
    tilt = _tilt(numbers) if tilt_word == "INCLUDE" else None
    lamp = _lamp(numbers, edition)
    vertical, horizontal, table = _table(numbers, lamp, edition)
    turn, rows, symmetry = unfold(horizontal, table)
    shape, opening = opening_of(lamp.size, edition)
    photometry = Photometry(vertical, turn, rows, opening, lamp.watts or None)
    return LightFile(
        edition=f"LM-63-{edition}",
        keywords=MappingProxyType(keywords),
        labels=labels,
        photometry=photometry,
        lamps=lamp.count,
        lumens_per_lamp=lamp.lumens,
        multiplier=lamp.multiplier,
        ballast_factor=lamp.ballast,
        field_12=lamp.field_12,
        watts=lamp.watts,
        units="feet" if lamp.in_feet else "meters",
        shape=shape,
        symmetry=symmetry,
        tilt=tilt,
        warnings=(*_warnings(edition, keywords, lamp, photometry), *_seam(horizontal, table)),
    )


def _find_tilt(lines: list[str]) -> tuple[int, str]:
    """Where the TILT line is, counted from 0, and what it says."""
    for number, line in enumerate(lines[:_MOST_HEADER_LINES]):
        if len(line) > _LONGEST_HEADER_LINE:
            why = f"Line {number + 1}: {len(line)} characters; before TILT= a line has {_LONGEST_HEADER_LINE} at most."
            raise FileError(number + 1, line, f"at most {_LONGEST_HEADER_LINE} characters", why)
        found = _TILT.match(line)
        if not found:
            continue
        word = found[1].strip()
        if word.upper() in ("NONE", "INCLUDE"):
            return number, word.upper()
        expected = "TILT=NONE or TILT=INCLUDE"
        why = f"Line {number + 1}: the tilt data is in another file, “{word[:40]}”. Include the tilt data in this one."
        raise FileError(number + 1, word, expected, why if word else "")
    last = min(len(lines), _MOST_HEADER_LINES)
    why = f"There is no line with TILT= among the first {last}. This is no LM-63 file, or its beginning is missing."
    raise FileError(last, "", "a line TILT=NONE or TILT=INCLUDE", why)


def _edition(header: list[str]) -> tuple[int, list[tuple[int, str]]]:
    """The year of the edition, and the lines that follow its line, numbered. Without a version line it is 1986."""
    told = [(number, line.strip()) for number, line in enumerate(header, 1) if line.strip()]
    if not told or not _CLAIMS_VERSION.match(told[0][1]):
        return 1986, told
    number, line = told[0]
    found = _VERSION.fullmatch(line)
    if not found or found[1] not in _EDITIONS:
        raise FileError(number, line, "an LM-63 edition of 1986, 1991, 1995, 2002 or 2019")
    return _EDITIONS[found[1]], told[1:]


def _keywords(header: list[tuple[int, str]]) -> tuple[dict[str, str], tuple[str, ...]]:
    """[KEY] text; [MORE] goes on with the text before it, and a key that comes again is kept on a line of its own."""
    keywords: dict[str, str] = {}
    labels: list[str] = []
    last = ""
    for _, line in header:
        found = _KEYWORD.match(line)
        key = found[1].strip().upper() if found else ""
        if not found or not key:
            labels.append(line)
            continue
        text = found[2].strip()
        if key == "MORE" and last:
            keywords[last] = f"{keywords[last]} {text}".strip()
            continue
        keywords[key] = f"{keywords[key]}\n{text}" if key in keywords else text
        last = key
    return keywords, tuple(labels)


def _tilt(numbers: Numbers) -> Tilt:
    geometry = numbers.whole_from("a lamp geometry: 1, 2 or 3", 1, 3)
    count = numbers.whole_from(f"how many tilt angles there are, 1 to {_MOST_TILT_ANGLES}", 1, _MOST_TILT_ANGLES)
    angles = numbers.rising(count, "tilt angles", 0, 180)
    factors = numbers.within(count, f"{count} tilt factors, 0 to {_LARGEST_BALLAST:g}", 0, _LARGEST_BALLAST)
    return Tilt(geometry, tuple(angles.tolist()), tuple(factors.tolist()))


@dataclass(frozen=True, slots=True)
class _Lamp:
    """The thirteen numbers between TILT and the angles."""

    count: int
    lumens: float | None
    multiplier: float
    verticals: int
    horizontals: int
    in_feet: bool
    size: tuple[float, float, float]  # width, length, height as signed, meters
    ballast: float
    field_12: float
    watts: float
    factor: float  # of every candela


def _lamp(numbers: Numbers, edition: int) -> _Lamp:
    lamps = numbers.whole_from("the number of lamps, 1 or more", 1, 10_000)
    lumens = numbers.one(expected := "lumens per lamp, more than 0, or -1 for absolute photometry")
    if lumens != -1 and not 0 < lumens <= MOST_LUMENS:
        raise numbers.refuse(expected, lumens)
    multiplier = numbers.between("a candela multiplier, 0.0001 to 100000", _SMALLEST_FACTOR, _LARGEST_FACTOR)
    verticals = numbers.whole_from(f"the number of vertical angles, 2 to {MOST_VALUES}", 2, MOST_VALUES)
    horizontals = numbers.whole_from(f"the number of horizontal angles, 1 to {MOST_VALUES}", 1, MOST_VALUES)
    if verticals * horizontals > MOST_VALUES:
        expected = f"at most {MOST_VALUES} candelas, vertical times horizontal angles"
        raise numbers.refuse(expected, verticals * horizontals)
    _check_type(numbers, numbers.one("a photometric type: 1 for C, 2 for B, 3 for A"))
    units = numbers.one(expected := "units: 1 for feet or 2 for meters")
    if units not in (1, 2):
        raise numbers.refuse(expected, units)
    foot = METERS_IN_A_FOOT if units == 1 else 1.0
    limit = _LARGEST_OPENING_M / foot
    width, length, height = (
        numbers.between(f"a {what} of the opening, no larger than 100 m", -limit, limit) * foot
        for what in ("width", "length", "height")
    )
    ballast = numbers.between("a ballast factor, more than 0 to 10", _SMALLEST_FACTOR, _LARGEST_BALLAST)
    if edition <= 1991:
        field_12 = numbers.between("a ballast-lamp factor, more than 0 to 10", _SMALLEST_FACTOR, _LARGEST_BALLAST)
    else:
        field_12 = numbers.one("field 12, a number")
    watts = numbers.between("input watts, 0 or more", 0, MOST_WATTS)
    return _Lamp(
        lamps,
        None if lumens == -1 else lumens,
        multiplier,
        verticals,
        horizontals,
        units == 1,
        (width, length, height),
        ballast,
        field_12,
        watts,
        multiplier * ballast * (field_12 if edition <= 1991 else 1.0),
    )


def _check_type(numbers: Numbers, kind: float) -> None:
    """Type C only. Sources disagree on which way types A and B are turned, so they are never guessed at."""
    if kind in (2, 3):
        letter = "B" if kind == 2 else "A"
        line = numbers.line_of()
        why = f"Line {line}: not supported: type {letter} photometry. Ask for the type C file of this light."
        raise FileError(line, f"{kind:g}", "type C photometry (1)", why)
    if kind != 1:
        raise numbers.refuse("a photometric type: 1 for C, 2 for B, 3 for A", kind)


def _table(numbers: Numbers, lamp: _Lamp, edition: int) -> tuple[Floats, Floats, Floats]:
    """Vertical angles, horizontal angles as they stand, and candelas (horizontal, vertical) with all factors in."""
    down, across = lamp.verticals, lamp.horizontals
    values = down * across
    what = f"{down} vertical and {across} horizontal angles and {down} x {across} = {values} candelas"
    whole = down + across + values
    if whole > numbers.left and not numbers.stops:
        line = numbers.last_line
        why = f"Line {line}: the file ends too early: {what} are {whole} numbers, and {numbers.left} are there."
        raise FileError(line, "", f"{what}, {whole} numbers", why)
    vertical = numbers.verticals(down)
    horizontal = numbers.rising(across, "horizontal angles", 0, 360)
    _check_horizontal(numbers, horizontal, edition)
    candelas = numbers.within(values, f"{down} x {across} = {values} candelas, 0 or more", 0, BRIGHTEST_CD)
    numbers.end(f"after {down} x {across} = {values} candelas")
    table = candelas.reshape(across, down) * lamp.factor
    if not table.any() or table.max() > BRIGHTEST_CD:
        expected = f"a largest intensity above 0 and up to {BRIGHTEST_CD:g} cd"
        raise FileError(numbers.line_of(), f"{table.max():g}", expected)
    return vertical, horizontal, table


def _check_horizontal(numbers: Numbers, angles: Floats, edition: int) -> None:
    first, last, count = float(angles[0]), float(angles[-1]), len(angles)
    if (first, last) == (90, 270) and edition <= 1995:
        return
    if first != 0:
        also = ", or run from 90 to 270" if edition <= 1995 else ""
        raise numbers.refuse(f"horizontal angles that begin at 0{also}", first, count)
    if (count == 1 and last == 0) or (count > 1 and last in (90, 180, 360)):
        return
    if edition <= 1995 and _closes(angles):
        return
    raise numbers.refuse("horizontal angles that end at 0, 90, 180 or 360", last)


def _closes(angles: Floats) -> bool:
    """To 1995 a full turn may stop one step short of 360: its first plane is its last."""
    if len(angles) < 2 or angles[-1] <= 180:
        return False
    step = float(np.diff(angles).max())
    return step <= 45 and 360 - angles[-1] <= step


def _warnings(edition: int, keywords: Mapping[str, str], lamp: _Lamp, photometry: Photometry) -> tuple[str, ...]:
    """What a person should know of a file that is read all the same."""
    told: list[str] = []
    rated = lamp.count * (lamp.lumens or 0.0)
    if rated and photometry.flux_lm > _OVER * rated:
        told.append(
            f"The candelas add up to {photometry.flux_lm:.0f} lm, more than the {rated:.0f} lm of the lamps. "
            "What is computed stands on the candelas."
        )
    if any(_RADIOMETRIC.search(text) for text in keywords.values()):
        told.append("The file speaks of watts per steradian: its values may not be candelas.")
    if edition > 1991 and edition < 2019 and lamp.field_12 not in (0, 1):
        told.append(f"Field 12 is {lamp.field_12:g}; this edition gives it no meaning, so it changes nothing.")
    missing = [key for key in _REQUIRED.get(min(edition, 2002), ()) if key not in keywords]
    if missing:
        told.append(f"The file leaves out what its edition asks for: {', '.join(missing)}.")
    return tuple(told)


def _seam(horizontal: Floats, table: Floats) -> tuple[str, ...]:
    if horizontal[-1] != 360 or np.abs(table[0] - table[-1]).max() <= _APART * table.max():
        return ()
    return ("The planes at 0 and 360 are one and the same, but their candelas differ. Their mean is used.",)
