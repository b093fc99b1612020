"""What has to hold of placing whatever the room: mirrors, whole multiples, one thing more in the way, one rule less.

No judge is asked here: an answer is compared with the engine's own answer to a room that must come out alike, or not
better, or not worse. A vector compares as the statement does, goal by goal; None is a room without a layout.
"""

from copy import deepcopy
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from tests.engine.judge_rooms import answered, shapes, small_rooms, vector, vector_of

few = settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large],
)
BEFORE_THE_TAPE = slice(6)  # all goals but the fraction of the marks


def less(whole, part):
    return str(Decimal(str(whole)) - Decimal(str(part)))


def mirrored(room, axis):
    """Seen from the other end (x) or from the opposite wall (y)."""
    far = room["L" if axis == "x" else "W"]
    seen = deepcopy(room)
    for joists in seen.get("joists", []):
        if joists["dir"] == ("across" if axis == "x" else "along"):
            joists["first"] = less(far, joists["first"])
    for shape in seen.get("obstructions", []):
        if shape["type"] == "circle":
            shape[axis] = less(far, shape[axis])
        else:
            shape[axis + "0"], shape[axis + "1"] = less(far, shape[axis + "1"]), less(far, shape[axis + "0"])
    if "tile" in seen:
        line, pitch = (Fraction(str(seen["tile"][key + axis])) for key in "op")
        line = (Fraction(str(far)) - line) % pitch
        seen["tile"]["o" + axis] = str(Decimal(line.numerator) / line.denominator)
    return seen


@few
@given(small_rooms(), st.sampled_from("xy"))
def test_a_room_seen_from_the_other_side_is_as_good(room, axis):
    assert vector(mirrored(room, axis)) == vector(room)


@few
@given(small_rooms(), st.sampled_from("xy"))
def test_joists_laid_out_from_the_other_end_leave_as_much(room, axis):
    """A layout is its own mirror image, so only the pattern's side changes, whatever else stands in the room."""
    assume(room.get("joists"))
    assert vector({**room, "joists": mirrored(room, axis)["joists"]}) == vector(room)


@few
@given(small_rooms(), st.data())
def test_order_and_the_joist_that_was_measured_do_not_matter(room, data):
    turned = deepcopy(room)
    for key in ("joists", "obstructions"):
        if key in room:
            turned[key] = data.draw(st.permutations(turned[key]))
    for joists in turned.get("joists", []):
        if (Fraction(str(joists["oc"])) * (64 if room["unit"] == "in" else 4)).denominator == 1:
            joists["first"] = float(joists["first"]) + 3 * float(joists["oc"])
    if "speaker" in room:
        turned["speaker"]["gaps"] = sorted(turned["speaker"]["gaps"], reverse=True)
    assert vector(turned) == vector(room)


@few
@given(small_rooms())
def test_sixteenths_and_millimeters_differ_only_in_how_a_tape_reads(room):
    """The same numbers of ticks in the other unit; the caps that are not said differ, so they are said."""
    to_metric = room["unit"] == "in"
    room = {**room, "uneven_max": room.get("uneven_max", 6 if to_metric else 150)}

    def other(value, key=""):
        if isinstance(value, dict):
            return {name: other(each, name) for name, each in value.items()}
        if isinstance(value, list):
            return value if key == "gaps" else [other(each) for each in value]
        if key in ("rows", "cols", "dir", "type"):
            return value
        if key == "unit":
            return "mm" if to_metric else "in"
        return str(Decimal(str(value)) * 16 if to_metric else Decimal(str(value)) / 16)

    here, there = vector(room), vector(other(room))
    assert (here is None) == (there is None)
    assert here is None or here[BEFORE_THE_TAPE] == there[BEFORE_THE_TAPE]


@few
@given(small_rooms(most=300), st.integers(2, 3))
def test_a_room_times_a_whole_number_breaks_no_more_rules(room, times):
    """Every layout of the small room is one of the large one, times as much; its marks are finer, so it may do better.

    Everything has to grow, what is not said too: even_tol is a tick, off_max takes no less than half a tick. Speakers
    are left out of the comparison: half a tick off counts nothing, and twice as much does.
    """
    tick = 0.0625 if room["unit"] == "in" else 1
    room = {"even_tol": tick, "uneven_max": 96 * tick, **room}
    room.setdefault("row_uneven_max", room["even_tol"])
    if "speaker" in room:
        room["speaker"] = {**room["speaker"], "off_max": max(room["speaker"].get("off_max", 0), tick)}

    def grown(value, key=""):
        if isinstance(value, dict):
            return {name: grown(each, name) for name, each in value.items()}
        if isinstance(value, list):
            return value if key == "gaps" else [grown(each) for each in value]
        if key in ("unit", "rows", "cols", "dir", "type"):
            return value
        return str(Decimal(str(value)) * times)

    here, there = vector(room), vector(grown(room))
    assert here is None or there[:4] <= (here[0], *(times * each for each in here[1:4]))


@few
@given(small_rooms(), st.data())
def test_one_thing_more_in_the_way_never_improves_a_room(room, data):
    inch = room["unit"] == "in"
    per_unit = 16 if inch else 1
    more = data.draw(shapes(inch, int(room["L"] * per_unit), int(room["W"] * per_unit)))
    fuller = {**room, "obstructions": [*room.get("obstructions", []), more]}
    assert not_worse(vector(room), vector(fuller))


@few
@given(small_rooms(), st.data())
def test_a_rule_less_never_worsens_a_room(room, data):
    """One joist set, one obstruction, a clearance, an edge, a limit taken away."""
    freer = deepcopy(room)
    away = [key for key in ("joists", "obstructions", "tile", "edge_min", "web_min", "row_spacing_max") if key in room]
    what = data.draw(st.sampled_from([*away, "spacing_max", "end_setback", "row_setback", "clear"]))
    if what in ("joists", "obstructions"):
        freer[what].pop(data.draw(st.integers(0, len(room[what]) - 1)))
    elif what == "spacing_max":
        freer[what] = room["L"]
    elif what in ("end_setback", "row_setback"):
        freer[what] = {**room[what], "min": 0, "max": room["L"]}
    elif what == "clear":
        for thing in (freer["light"], freer.get("speaker", {}), *freer.get("obstructions", [])):
            thing.pop("clear", None)
    else:
        del freer[what]
    assert not_worse(vector(freer), vector(room))


@few
@given(small_rooms(), st.sampled_from(["uneven_max", "row_uneven_max", "off_max"]))
def test_a_wider_cap_never_worsens_a_room(room, cap):
    freer = deepcopy(room)
    if cap == "off_max":
        assume("speaker" in room)
        freer["speaker"][cap] = room["L"]
    else:
        freer[cap] = room["L"]
    assert not_worse(vector(freer), vector(room))


def not_worse(a, b):
    return b is None or (a is not None and a <= b)


@few
@given(small_rooms())
def test_gaps_and_ends_add_up_to_the_room(room):
    """A person with a pencil: first end, every gap, last end, to the last sixty-fourth."""
    found = answered(room)
    if vector_of(found) is None:
        return
    for line, far in (("x", "L"), ("y", "W")):
        marks = [Decimal(0), *found[line], Decimal(str(room[far]))]
        gaps = [b - a for a, b in pairwise(marks)]
        assert gaps == list(reversed(gaps))
        assert sum(gaps) == Decimal(str(room[far]))
