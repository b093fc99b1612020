"""Reads EULUMDAT photometric files: one field to a line, intensities per 1000 lm.

The order of the lines, and which planes are stored under which symmetry, are those of "Proposal for a data format for
exchange of luminaire data" as reprinted on several public pages and in open readers that agree (seen); they name
A. W. Stockmar, Licht '90, pp. 641-644 as its source (not seen). That C0 lies across the length of a light, and that a
negative number of lamps means absolute photometry, are from memory. Planes keep the numbers they have in the file.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from layout.engine.light.lm63 import LightFile
from layout.engine.light.openings import BOX, CIRCLE, CYLINDER, POINT, RECTANGLE
from layout.engine.light.photometry import Photometry
from layout.engine.light.symmetry import unfold
from layout.engine.light.tokens import BRIGHTEST_CD, MOST_LUMENS, MOST_VALUES, MOST_WATTS, FileError, Numbers, lines_of
from layout.engine.light.values import Floats, Opening

_HEAD = 2_000  # characters that are looked at to tell the format
_HEADER = 26  # lines before the lamp sets
_LAMP_LINES = 6
_RATIOS = 10  # lines of utilization by room index, which this engine works out itself
_WORDS = {"MANUFAC": 1, "TEST": 8, "LUMINAIRE": 9, "LUMCAT": 10, "FILENAME": 11, "ISSUEDATE": 12}
_MOST_SETS = 50
_LONGEST_LINE = 1_000
_MILLIMETERS = 1_000.0
_LARGEST_MM = 100_000.0
_RATIO_OFF = 0.05  # of the stated light output, before it is said


@dataclass(frozen=True, slots=True)
class _Lamps:
    absolute: bool
    count: int
    name: str
    lumens: float  # of the whole set
    watts: float


def looks_like_it(text: str | bytes) -> bool:
    """Whether lines 2 to 7 could be those of this format: a type, a symmetry and the counts and steps of two angles."""
    head = text[:_HEAD].decode("latin-1") if isinstance(text, bytes) else text[:_HEAD]
    lines = [line.strip() for line in head.splitlines()[1:7]]
    if len(lines) < 6 or lines[1] not in ("0", "1", "2", "3", "4") or "TILT=" in head.upper():
        return False
    return all(line and not line.strip("0123456789.,") for line in lines)


def read(text: str | bytes) -> LightFile:
    """Raises FileError, with line, token and what was expected, when a file is not a whole one."""
    lines = [line.strip() for line in lines_of(text)]
    for number, line in enumerate(lines[:_HEADER], 1):
        if len(line) > _LONGEST_LINE:
            raise FileError(number, line, f"at most {_LONGEST_LINE} characters")
    symmetry = int(_field(lines, 3, "a symmetry, 0 to 4", 0, 4, whole=True))
    planes = int(_field(lines, 4, "the number of C planes over the full turn, 1 or more", 1, MOST_VALUES, whole=True))
    downs = int(_field(lines, 6, "the number of intensities in a plane, 2 or more", 2, MOST_VALUES, whole=True))
    factor = _field(lines, 24, "a conversion factor, more than 0", 0, 1e5, blank=1.0) or 1.0
    sets = int(_field(lines, 26, f"the number of lamp sets, 1 to {_MOST_SETS}", 1, _MOST_SETS, whole=True))
    lamps = _lamps(lines, _HEADER + 1)
    first = _HEADER + _LAMP_LINES * sets + _RATIOS + 1
    vertical, stored, table = _table(lines, first, planes, downs, symmetry)
    turn, rows, words = unfold(stored, table * (factor * lamps.lumens / 1000))
    shape, opening = _opening(lines)
    photometry = Photometry(vertical, turn, rows, opening, lamps.watts or None)
    keywords = {key: lines[line - 1] for key, line in _WORDS.items() if lines[line - 1]}
    return LightFile(
        edition="EULUMDAT",
        keywords=MappingProxyType(keywords | ({"LAMP": lamps.name} if lamps.name else {})),
        labels=(),
        photometry=photometry,
        lamps=lamps.count,
        lumens_per_lamp=None if lamps.absolute else lamps.lumens / lamps.count,
        multiplier=factor,
        ballast_factor=1.0,
        field_12=1.0,
        watts=lamps.watts,
        units="meters",
        shape=shape,
        symmetry=words,
        tilt=None,
        warnings=_warnings(lines, sets, lamps, photometry.flux_lm),
    )


def _field(
    lines: list[str],
    number: int,
    expected: str,
    low: float,
    high: float,
    *,
    whole: bool = False,
    blank: float | None = None,
) -> float:
    """The number that is all of a line; here a comma is a decimal mark. blank: what an empty line stands for."""
    token = lines[number - 1] if number <= len(lines) else ""
    if not token and blank is not None and number <= len(lines):
        return blank
    try:
        numbers = Numbers([token.replace(",", ".")], number)
        value = numbers.one(expected)
        numbers.end("one number to a line")
    except FileError as error:
        raise FileError(number, token, expected) from error
    if not low <= value <= high or (whole and value != int(value)):
        raise FileError(number, token, expected)
    return value


def _lamps(lines: list[str], number: int) -> _Lamps:
    """The first set; others are lamps that can be put in instead."""
    count = _field(lines, number, "the number of lamps, negative for absolute photometry", -1e4, 1e4, whole=True)
    lumens = _field(lines, number + 2, "the total lumens of the lamps, more than 0", 0, MOST_LUMENS)
    if count == 0 or lumens == 0:
        at = number if count == 0 else number + 2
        raise FileError(at, lines[at - 1], "a number of lamps" if count == 0 else "total lumens, more than 0")
    watts = _field(lines, number + 5, "watts, 0 or more", 0, MOST_WATTS, blank=0.0)
    return _Lamps(count < 0, abs(int(count)), lines[number], lumens, watts)


def _table(lines: list[str], first: int, planes: int, downs: int, symmetry: int) -> tuple[Floats, Floats, Floats]:
    """Vertical angles, the stored planes as an LM-63 file would have them, and intensities per 1000 lm."""
    place, stored = _stored(planes, symmetry, lines)
    values = stored * downs
    if values > MOST_VALUES:
        raise FileError(6, lines[5], f"at most {MOST_VALUES} intensities in all")
    numbers = Numbers((line.replace(",", ".") for line in lines[first - 1 :]), first)
    what = f"{planes} C angles, {downs} vertical angles and {stored} x {downs} = {values} intensities"
    whole = planes + downs + values
    if whole > numbers.left and not numbers.stops:
        line = numbers.last_line
        why = f"Line {line}: the file ends too early: {what} are {whole} numbers, and {numbers.left} are there."
        raise FileError(line, "", f"{what}, {whole} numbers", why)
    angles = numbers.rising(planes, "C angles", 0, 359.999)
    _check_planes(numbers, angles, symmetry)
    vertical = numbers.verticals(downs)
    table = numbers.within(values, f"{stored} x {downs} = {values} intensities, 0 or more", 0, BRIGHTEST_CD)
    numbers.end(f"after {stored} x {downs} = {values} intensities")
    if not table.any():
        raise FileError(numbers.line_of(), "0", "a largest intensity above 0")
    rows = table.reshape(stored, downs)
    if symmetry == 1:
        return vertical, np.zeros(1), rows
    turn = np.concatenate((angles, angles + 360))[place : place + stored]
    if symmetry == 3:  # from 270 through 0 to 90: its mirror image runs from 90 to 270
        return vertical, 540 - turn[::-1], rows[::-1]
    return vertical, turn, rows


def _stored(planes: int, symmetry: int, lines: list[str]) -> tuple[int, int]:
    """Which of the planes is the first that is stored, from 0, and how many are."""
    parts = {2: 2, 3: 4, 4: 4}.get(symmetry, 1)
    if planes % parts:
        raise FileError(4, lines[3], f"a number of C planes over the full turn that {parts} divides")
    return {
        0: (0, planes),
        1: (0, 1),
        2: (0, planes // 2 + 1),
        3: (3 * planes // 4, planes // 2 + 1),
        4: (0, planes // 4 + 1),
    }[symmetry]


def _check_planes(numbers: Numbers, angles: Floats, symmetry: int) -> None:
    """The planes a symmetry is about must be among them, each where the count says it is."""
    planes = len(angles)
    wanted = {2: {2: 180.0}, 3: {4: 90.0, 2: 180.0}, 4: {4: 90.0}}.get(symmetry, {})
    for part, angle in {planes + 1: 0.0, **wanted}.items():
        place = planes // part if part <= planes else 0
        if angles[place] != angle:
            raise numbers.refuse(f"{angle:g}, the C plane in this place of {planes}", angles[place], planes - place)
    if symmetry == 3 and angles[3 * planes // 4] != 270:
        raise numbers.refuse("270, the C plane three quarters on", angles[3 * planes // 4], planes - 3 * planes // 4)
    if symmetry == 0 and planes > 1 and 360 - angles[-1] > 180:
        raise numbers.refuse("C planes all the way round", angles[-1])


def _opening(lines: list[str]) -> tuple[str, Opening]:
    """The luminous area. Its length lies along C90-C270, and is the width of an Opening."""
    length, width, *heights = (
        _field(lines, number, "a size of the luminous area, mm, 0 to 100000", 0, _LARGEST_MM, blank=0.0) / _MILLIMETERS
        for number in range(16, 22)
    )
    height = max(heights)
    if width == 0 and length > 0:
        return CYLINDER if height else CIRCLE, Opening(length, length, height, True)
    shape = POINT if not (length or width or height) else BOX if height else RECTANGLE
    return shape, Opening(length, width, height)


def _warnings(lines: list[str], sets: int, lamps: _Lamps, flux_lm: float) -> tuple[str, ...]:
    told: list[str] = []
    share = _field(lines, 23, "a light output ratio, percent, 0 or more", 0, 1e4, blank=0.0) / 100
    if share and abs(flux_lm / lamps.lumens - share) > _RATIO_OFF * share:
        told.append(
            f"The intensities add up to {flux_lm:.0f} lm; the file tells {share * lamps.lumens:.0f} lm. "
            "What is computed stands on the intensities."
        )
    if sets > 1:
        told.append(f"The file has {sets} sets of lamps. The first is taken: {lamps.name or 'unnamed'}.")
    tilt = _field(lines, 25, "a tilt in degrees", -180, 180, blank=0.0)
    if tilt:
        told.append(f"The light was tilted {tilt:g}° when it was measured.")
    return tuple(told)
