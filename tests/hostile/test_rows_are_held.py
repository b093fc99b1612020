"""Each hostile case has a test, and the test that is named for it exists."""

import ast
import re
from functools import cache
from pathlib import Path

import pytest

from tests.hostile.rows import ROWS

TESTS = Path(__file__).parents[1]
TO_COME: set[int] = set()
BY_NAME = re.compile(r"test_row_(\d\d)_")


@cache
def found_in(path):
    return {
        node.name
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    }


@cache
def named_rows():
    """Rows by the number in a test's name."""
    found = {}
    for path in TESTS.rglob("test_*.py"):
        for name in found_in(path) if "test_row_" in path.read_text() else ():
            if match := BY_NAME.match(name):
                found.setdefault(int(match[1]), set()).add(f"{path.relative_to(TESTS)}::{name}")
    return found


def test_the_table_has_all_seventy_two():
    assert list(ROWS) == list(range(1, 73))
    assert set(named_rows()) <= set(ROWS)


@pytest.mark.parametrize("row", ROWS)
def test_a_row_is_held_by_a_test_that_exists(row):
    said, elsewhere = ROWS[row]
    for place in elsewhere:
        file, _colons, name = place.partition("::")
        assert name in found_in(TESTS / file), f"row {row} ({said}): {place} is not there"
    if row in TO_COME:
        assert not named_rows().get(row), f"row {row} is held by now: take it out of TO_COME"
        return
    assert elsewhere or named_rows().get(row), f"row {row} ({said}) has no test"
