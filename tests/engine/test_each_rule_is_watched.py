"""Every rule, cap and goal of placing is watched: the engine is made to misread each, and the checks must turn red.

A misreading is given to the engine between the file and the search, so that it searches and reports by the wrong rule
alike, as a misunderstanding would make it do. The long checks break lines inside a copy of the engine as well.
"""

import json
import shutil
import subprocess
import sys
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from layout.engine.lengths import Unit
from layout.engine.placement import answer
from tests.benchmarks.exhaustive import best_vector
from tests.engine.judge_rooms import answered, hold_to_account, small_rooms, vector_of

FAR = 10**6  # ticks: no room is as long


# Caps seldom bind in rooms drawn at random. Ends held 5 off in 40 put four lines at 5, 15, 25, 35; what is 2 mm around
# 15 leaves no place for a hole of 1 mm but 12 or less and 18 or more: gaps of 7 and 16, or 13 and 4, which differ by 9.
HELD = {"min": 5, "max": 5, "pref": 5}
FREE = {"min": 0, "max": 40, "pref": 10}
SMALL = {"unit": "mm", "L": 40, "light": {"cutout_d": 1}, "spacing_max": 40}
UNEVEN = {
    **SMALL,
    "W": 20,
    "rows": 1,
    "cols": 4,
    "end_setback": HELD,
    "row_setback": FREE,
    "obstructions": [{"type": "circle", "x": 15, "y": 10, "r": 2}],
}
ROW_UNEVEN = {
    **SMALL,
    "W": 40,
    "rows": 4,
    "cols": 1,
    "end_setback": FREE,
    "row_setback": HELD,
    "obstructions": [{"type": "circle", "x": 20, "y": 15, "r": 2}],
}
# Lights at 5, 20, 35. Something 1 mm around 12 blocks 12 and 13, half a tick off mid-gap; 14 is a tick and a half off.
OFF = {
    **SMALL,
    "W": 20,
    "rows": 1,
    "cols": 3,
    "end_setback": HELD,
    "row_setback": FREE,
    "obstructions": [{"type": "circle", "x": 12, "y": 10, "r": 1}],
}
AT_THE_CAPS = [
    *({**UNEVEN, "uneven_max": cap} for cap in (8, 9)),
    *({**ROW_UNEVEN, "row_uneven_max": cap} for cap in (8, 9)),
    *({**OFF, "speaker": {"cutout_d": 1, "gaps": [1, 2], "off_max": cap}} for cap in (1, 2)),
]


def test_the_caps_bind_where_they_are_said_to():
    """By hand: one hole in the way below the cap; at it, 9 less the tick let pass is 32 quarters, 1 1/2 ticks are 6."""
    found = [best_vector(room) for room in AT_THE_CAPS]
    assert [vector[0] for vector in found] == [1, 0, 1, 0, 1, 0]
    assert (found[1][2], found[3][3], found[5][4]) == (32, 32, 6)


@cache
def rooms_and_vectors():
    """The same rooms each time, and what every layout of each says is best."""
    rooms = list(AT_THE_CAPS)

    @settings(
        max_examples=300,
        derandomize=True,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(small_rooms(most=250))
    def draw(room):
        rooms.append(room)

    draw()
    return [(room, best_vector(room)) for room in rooms]


def red() -> bool:
    """Whether any room comes out otherwise than it must."""
    for room, best in rooms_and_vectors():
        found = answered(room)
        if vector_of(found) != best:
            return True
        try:
            hold_to_account(room, found)
        except AssertionError:
            return True
    return False


def setback(key, **limits):
    return lambda problem: replace(problem, **{key: replace(getattr(problem, key), **limits)})


def room(**changes):
    return lambda problem: replace(problem, **{key: change(problem) for key, change in changes.items()})


def light(**changes):
    return lambda problem: replace(problem, light=replace(problem.light, **changes))


def joists(change):
    return lambda problem: replace(problem, joists=tuple(change(each) for each in problem.joists))


def obstructions(change):
    return lambda problem: replace(problem, obstructions=tuple(change(each) for each in problem.obstructions))


def speakers(change):
    return lambda problem: replace(problem, speakers=problem.speakers and change(problem.speakers))


def speaker_hole(change):
    return speakers(lambda each: replace(each, hole=change(each.hole)))


def tiles(change):
    return lambda problem: replace(problem, tile=problem.tile and change(problem.tile))


def square(shape):
    """The square around a circle."""
    r = shape.rim
    return replace(shape, x0=shape.x0 - r, y0=shape.y0 - r, x1=shape.x1 + r, y1=shape.y1 + r, rim=0)


MISREADINGS = {
    "end setback: no least": setback("end_setback", min=0),
    "end setback: no most": setback("end_setback", max=FAR),
    "row setback: no least": setback("row_setback", min=0),
    "row setback: no most": setback("row_setback", max=FAR),
    "spacing: no limit": room(spacing_max=lambda problem: FAR),
    "spacing: a tick more": room(spacing_max=lambda problem: problem.spacing_max + 1),
    "spacing: must be less, not touch": room(spacing_max=lambda problem: problem.spacing_max - 1),
    "row spacing: no limit": room(row_spacing_max=lambda problem: None),
    "row spacing: taken from the spacing along": room(row_spacing_max=lambda problem: problem.spacing_max),
    "joists: none": room(joists=lambda problem: ()),
    "joists: along read as across": joists(lambda each: replace(each, across=True)),
    "joists: across read as along": joists(lambda each: replace(each, across=False)),
    "joists: no width": joists(lambda each: replace(each, half_width=0)),
    "joists: the whole width on each side": joists(lambda each: replace(each, half_width=2 * each.half_width)),
    "joists: spaced to a whole tick": joists(lambda each: replace(each, spacing=Fraction(4 * round(each.spacing / 4)))),
    "joists: measured from the wall, whatever is said": joists(lambda each: replace(each, first=0)),
    "joists: the first set alone": room(joists=lambda problem: problem.joists[:1]),
    "obstructions: none": room(obstructions=lambda problem: ()),
    "obstructions: the first alone": room(obstructions=lambda problem: problem.obstructions[:1]),
    "obstructions: a circle is the square around it": obstructions(square),
    "obstructions: a circle is its center": obstructions(lambda each: replace(each, rim=0)),
    "obstructions: no clearance of their own": obstructions(lambda each: replace(each, clear=0)),
    "clearance: none around a light": light(clear=0),
    "clearance: none around a speaker": speaker_hole(lambda hole: replace(hole, clear=0)),
    "clearance: part of the hole everywhere": lambda problem: replace(
        problem, light=replace(problem.light, radius=problem.light.radius + problem.light.clear, clear=0)
    ),
    "edge: none": room(edge_min=lambda problem: 0),
    "edge: a quarter tick more, so that touching is too near": room(edge_min=lambda problem: problem.edge_min + 1),
    "edge: a quarter tick less": room(edge_min=lambda problem: max(0, problem.edge_min - 1)),
    "web: none": room(web_min=lambda problem: 0),
    "web: a quarter tick more": room(web_min=lambda problem: problem.web_min + 1),
    "speakers: cut like lights": lambda problem: speakers(lambda each: replace(each, hole=problem.light))(problem),
    "tile: none": room(tile=lambda problem: None),
    "tile: on the lines, not in the middle": tiles(
        lambda tile: replace(tile, line=(tile.line[0] + tile.pitch[0] // 2, tile.line[1] + tile.pitch[1] // 2))
    ),
    "tile: the grid starts at the corner": tiles(lambda tile: replace(tile, line=(0, 0))),
    "tile: length and width turned": tiles(lambda tile: replace(tile, pitch=tile.pitch[::-1])),
    "cap: gaps a tick more uneven": room(uneven_max=lambda problem: problem.uneven_cap + 1),
    "cap: gaps a tick less uneven": room(uneven_max=lambda problem: max(0, problem.uneven_cap - 1)),
    "cap: row gaps a tick more uneven": room(row_uneven_max=lambda problem: problem.row_uneven_cap + 1),
    "cap: row gaps as uneven as gaps along": room(row_uneven_max=lambda problem: problem.uneven_cap),
    "cap: a speaker a tick farther off": speakers(lambda each: replace(each, off_max=each.off_max + 1)),
    "cap: a speaker nowhere but in the middle": speakers(lambda each: replace(each, off_max=0)),
    "goal: gaps may differ by a tick more": room(
        even_tol=lambda problem: problem.even_tol + 1,
        uneven_max=lambda problem: problem.uneven_cap,
        row_uneven_max=lambda problem: problem.row_uneven_cap,
    ),
    "goal: no difference is let pass": room(
        even_tol=lambda problem: 0,
        uneven_max=lambda problem: problem.uneven_cap,
        row_uneven_max=lambda problem: problem.row_uneven_cap,
    ),
    "goal: ends preferred a tick farther in": lambda problem: setback("end_setback", pref=problem.end_setback.pref + 1)(
        problem
    ),
    "goal: rows preferred a tick farther in": lambda problem: setback("row_setback", pref=problem.row_setback.pref + 1)(
        problem
    ),
    "goal: the other tape": room(unit=lambda problem: Unit.MM if problem.unit is Unit.INCH else Unit.INCH),
}


QUICK = [
    "end setback: no least",
    "row setback: no most",
    "spacing: a tick more",
    "row spacing: no limit",
    "joists: spaced to a whole tick",
    "joists: across read as along",
    "obstructions: a circle is the square around it",
    "clearance: part of the hole everywhere",
    "edge: a quarter tick more, so that touching is too near",
    "web: none",
    "tile: the grid starts at the corner",
    "cap: gaps a tick more uneven",
    "cap: row gaps a tick more uneven",
    "cap: a speaker a tick farther off",
    "goal: no difference is let pass",
    "goal: rows preferred a tick farther in",
    "goal: the other tape",
]


def test_read_as_it_is_nothing_turns_red():
    assert not red()


def turns_red(misreading, monkeypatch):
    read = answer.read_problem
    monkeypatch.setattr(answer, "read_problem", lambda text: MISREADINGS[misreading](read(text)))
    assert red()


@pytest.mark.parametrize("misreading", QUICK)
def test_a_misreading_turns_a_check_red(misreading, monkeypatch):
    turns_red(misreading, monkeypatch)


@pytest.mark.long
@pytest.mark.parametrize("misreading", [misreading for misreading in MISREADINGS if misreading not in QUICK])
def test_every_other_misreading_turns_a_check_red(misreading, monkeypatch):
    turns_red(misreading, monkeypatch)


# Lines of the engine, each as it stands and broken: what counts once instead of for every subject, what leaves out a
# mirror or the middle, what is off by the least there is. Where a line has been rewritten, break its successor.
BROKEN_LINES = {
    "told: one end of a row is enough": (
        "measure.py",
        '(("left", layout.columns[0]), ("right", length - layout.columns[-1]))',
        '(("left", layout.columns[0]),)',
    ),
    "told: an end held too far in is not": ("measure.py", ", at - QUARTERS * setback.max)", ")"),
    "told: rows keep apart at their first hole only": (
        "measure.py",
        "for name, _, hole in _holes(problem, layout):",
        "for name, _, hole in list(_holes(problem, layout))[:1]:",
    ),
    "told: touching is too near": ("measure.py", "if broken.short_by > 0", "if broken.short_by >= 0"),
    "told: an excess is rounded down": (
        "measure.py",
        "sum(up(each.short_by, QUARTERS)",
        "sum(each.short_by // QUARTERS",
    ),
    "told: half a tick off counts": ("measure.py", "return off if 2 * off > QUARTERS else 0", "return off"),
    "told: every mark is counted from the far wall": (
        "measure.py",
        "mark_cost(problem.unit, tick)",
        "mark_cost(problem.unit, problem.length - tick)",
    ),
    "a row's ends count once": ("axis.py", "setback_subjects=rows", "setback_subjects=1"),
    "a gap counts once for all rows": ("axis.py", "spacing_subjects=rows", "spacing_subjects=1"),
    "a web counts once for all rows": ("axis.py", "+ problem.web_min, rows)", "+ problem.web_min, 1)"),
    "a web between rows counts once": ("axis.py", "+ problem.web_min, number)", "+ problem.web_min, 1)"),
    "a speaker's place counts once for all rows": ("axis.py", "places=rows * mirrored", "places=mirrored"),
    "a speaker's lights count once for all rows": (
        "axis.py",
        "subjects=rows,\n            places",
        "subjects=1,\n            places",
    ),
    "a light's place counts once for all rows": ("axis.py", "lines=rows * mirrored", "lines=mirrored"),
    "a speaker off mid-gap has no half tick": ("axis.py", "off_max, QUARTERS // 2)", "off_max, 0)"),
    "a speaker needs no web": (
        "axis.py",
        "light=problem.light.radius + hole.radius + problem.web_min",
        "light=problem.light.radius + hole.radius",
    ),
    "joists look at the hole alone": (
        "axis.py",
        "hole.radius + hole.clear + entry.half_width",
        "hole.radius + entry.half_width",
    ),
    "a mirror is taken for its original": (
        "costs.py",
        "costs[:half] + costs[: len(costs) - half - 1 : -1]",
        "2 * costs[:half]",
    ),
    "touching costs": ("costs.py", "if there < needed else 0", "if there <= needed else 0"),
    "touching costs, in an array": (
        "costs.py",
        "np.where(short > 0, BROKEN - (-short // QUARTERS), 0)",
        "np.where(short >= 0, BROKEN - (-short // QUARTERS), 0)",
    ),
    "sixteenths cost what eighths do": ("costs.py", "(16, 8, 4, 2)", "(16, 8, 4)"),
    "a tile's line is its center": ("costs.py", "- line - pitch // 2) % pitch", "- line) % pitch"),
    "an obstruction is met on one axis": (
        "costs.py",
        "off * off + off_other * off_other",
        "off * off",
    ),
    "clearances add up": ("problem.py", "max(hole.clear, self.clear)", "hole.clear + self.clear"),
    "the larger cap is not taken": ("problem.py", "self.uneven_max, self.even_tol)", "self.uneven_max, 0)"),
    "one end is held, the other not": (
        "windows.py",
        "2 * axis.setback_subjects * (BROKEN + short)",
        "axis.setback_subjects * (BROKEN + short)",
    ),
    "a setback's fault has no size": (
        "windows.py",
        "axis.setback_subjects * (BROKEN + short)",
        "axis.setback_subjects * (BROKEN + 0 * short)",
    ),
    "the preferred setback is forgotten": ("windows.py", "SETBACK * np.abs(x - axis.setback.pref) + rests", "rests"),
    "marks come before setbacks": ("between.py", "SETBACK = 1 << 9", "SETBACK = 1"),
    "a speaker may be nowhere but close": (
        "between.py",
        "self.off_max = axis.speakers.off_max",
        "self.off_max = axis.speakers.off_max + 4",
    ),
}
LOOK = """
import json, sys
from tests.engine import test_each_rule_is_watched as watch
assert watch.answer.__file__.startswith(sys.argv[1]), watch.answer.__file__
rooms = [(room, best and tuple(best)) for room, best in json.load(open(sys.argv[2]))]
watch.rooms_and_vectors = lambda: rooms
print("red" if watch.red() else "green")
"""
ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def engine_copy(tmp_path_factory):
    """A copy of the engine that goes before the real one, and the rooms in a file."""
    top = tmp_path_factory.mktemp("copy")
    shutil.copytree(ROOT / "layout" / "engine", top / "layout" / "engine")
    shutil.copy(ROOT / "layout" / "__init__.py", top / "layout")
    (top / "rooms.json").write_text(json.dumps(rooms_and_vectors()))
    return top


def looked_at(top):
    """What the checks say of a copy; an engine that stumbles over its broken line has been noticed too."""
    done = subprocess.run(
        [sys.executable, "-B", "-P", "-c", LOOK, str(top), str(top / "rooms.json")],
        cwd=ROOT,
        env={"PYTHONPATH": f"{top}:{ROOT}"},
        capture_output=True,
        text=True,
        timeout=300,
    )
    if done.returncode:
        assert f"{top}/layout/engine/placement" in done.stderr, done.stderr
        return "red"
    return done.stdout.strip()


@pytest.mark.long
def test_a_copy_with_nothing_broken_is_green(engine_copy):
    assert looked_at(engine_copy) == "green"


@pytest.mark.long
@pytest.mark.parametrize("what", BROKEN_LINES)
def test_a_broken_line_turns_a_check_red(what, engine_copy):
    name, line, broken = BROKEN_LINES[what]
    path = engine_copy / "layout" / "engine" / "placement" / name
    whole = path.read_text()
    assert line in whole, f"{name} no longer says: {line}"
    path.write_text(whole.replace(line, broken))
    try:
        assert looked_at(engine_copy) == "red"
    finally:
        path.write_text(whole)
