"""A list of cases as JSON text, answered case by case: a bad case is told in its place, the others are reckoned."""

from __future__ import annotations

import json
import math

from reports.figures.figure import FigureError
from reports.figures.kinds import Unread
from reports.figures.registry import reckon

MOST_BYTES = 50_000_000
MOST_CASES = 100_000
DEEPEST = 100


class NotRead(ValueError):
    """The list as a whole can't be read. The message names the remedy."""


class _Twice(dict[str, object]):
    """An object one of whose names stood twice: the second would silently go over the first."""

    name = ""


def read_cases(raw: bytes) -> list[object]:
    """The cases of a file, before any is looked at. Raises NotRead."""
    if len(raw) > MOST_BYTES:
        raise NotRead(f"The list is over {MOST_BYTES // 1_000_000} MB. Send it in parts.")
    try:
        found = json.loads(
            raw.decode("utf-8-sig"),
            parse_float=_float,
            parse_int=_int,
            parse_constant=Unread,
            object_pairs_hook=_object,
        )
    except UnicodeDecodeError as error:
        raise NotRead(f"Not UTF-8 text (byte {error.start}). Save the file as UTF-8.") from error
    except RecursionError as error:
        raise NotRead("Nested too deep to be read.") from error
    except ValueError as error:
        raise NotRead(f"Not JSON: {error}.") from error
    if not isinstance(found, list):
        raise NotRead('Not a list. Put the cases into one: [{"figure": "box.capacity", "inputs": {...}}].')
    if len(found) > MOST_CASES:
        raise NotRead(f"{len(found):,} cases. Send at most {MOST_CASES:,} at once.")
    if _deeper_than(found, DEEPEST):
        raise NotRead(f"Nested deeper than {DEEPEST} levels.")
    return found


def answered(case: object) -> dict[str, object]:
    """The case with its result, or with an error in words. Other keys come through as they were."""
    if not isinstance(case, dict):
        return {"case": case, "error": 'case: give an object with "figure" and "inputs".'}
    kept = {key: value for key, value in case.items() if key not in ("result", "error")}
    try:
        _no_name_twice(case)
        if "figure" not in case:
            raise FigureError("is missing. Name one; reckon --list names them all.", "figure")
        if "inputs" not in case:
            raise FigureError("are missing. Give them by name.", "inputs")
        return {**kept, "result": reckon(case["figure"], case["inputs"])}
    except FigureError as error:
        return {**kept, "error": str(error)}


def written(answers: list[dict[str, object]]) -> str:
    """The answers as strict JSON: what was no number in the file comes back as text."""
    return json.dumps(answers, indent=1, allow_nan=False, default=lambda unread: unread.text)


def _float(text: str) -> float | Unread:
    number = float(text)
    return number if math.isfinite(number) else Unread(text)


def _int(text: str) -> int | Unread:
    # Python reads no more than some thousand digits, and no length needs more than a few.
    return int(text) if len(text) <= 400 else Unread(text)


def _object(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found = dict(pairs)
    if len(found) == len(pairs):
        return found
    twice, seen = _Twice(found), set()
    for name, _ in pairs:
        if name in seen:
            twice.name = name
        seen.add(name)
    return twice


def _no_name_twice(case: dict[str, object]) -> None:
    waiting: list[object] = [case]
    while waiting:
        one = waiting.pop()
        if isinstance(one, _Twice):
            raise FigureError(f"{one.name!r} stands twice in one object. Give it once.", "case")
        if isinstance(one, dict | list):
            waiting.extend(one.values() if isinstance(one, dict) else one)


def _deeper_than(found: object, most: int) -> bool:
    waiting = [(found, 0)]
    while waiting:
        value, depth = waiting.pop()
        if depth > most:
            return True
        if isinstance(value, dict | list):
            waiting.extend((each, depth + 1) for each in (value.values() if isinstance(value, dict) else value))
    return False
