"""The batch of figures, attacked: whatever stands in the list, each case is answered or told what to change."""

import io
import json
import sys

import pytest
from django.core.management import call_command
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.figures.batch import NotRead, answered, read_cases, written
from reports.figures.registry import FIGURES, listed

CAPACITY = {"figure": "box.capacity", "inputs": {"volume_in3": 12.5, "awg": 8}}


def _answers(text):
    """Through the batch as the command does it; and what comes out is JSON that has no NaN."""
    out = written([answered(case) for case in read_cases(text.encode())])
    return json.loads(out, parse_constant=lambda word: pytest.fail(f"{word} is not JSON"))


def _error(figure, **inputs):
    found = answered({"figure": figure, "inputs": inputs})
    assert "result" not in found
    return found["error"]


def _run(monkeypatch, raw, *arguments):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw)))
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("reckon", *arguments, stdout=out, stderr=err)
    except SystemExit as left:
        return left.code, out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


def test_every_figure_answers_its_own_example_and_names_its_results():
    for figure in FIGURES.values():
        found = figure.answer({one.name: one.example for one in figure.inputs})
        assert set(found) == {one.name for one in figure.results}, figure.name
        json.dumps(found, allow_nan=False)


def test_the_list_tells_inputs_units_results_rule_and_source():
    for one in listed():
        assert one["rule"] and one["source"] and one["inputs"] and one["results"]
        assert all({"name", "unit", "gives", "example"} <= each.keys() for each in one["inputs"])


def test_the_command_reads_standard_input_and_passes_other_keys_through(monkeypatch):
    code, out, _err = _run(monkeypatch, json.dumps([{**CAPACITY, "id": 7, "note": {"a": [None]}}]).encode(), "-")
    assert code == 0
    assert json.loads(out) == [{**CAPACITY, "id": 7, "note": {"a": [None]}, "result": {"count": 4}}]


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "Not JSON"),
        (b'{"figure": "box.capacity"}', "Not a list"),
        (b"\xff\xfe[]", "Not UTF-8"),
        (b"[" * 3000, "Not JSON|Nested"),
        (b"[" * 200 + b"]" * 200, "Nested deeper"),
    ],
)
def test_what_is_no_list_of_cases_ends_with_two_and_one_line(monkeypatch, raw, words):
    code, out, err = _run(monkeypatch, raw, "-")
    assert (code, out) == (2, "")
    assert len(err.strip().splitlines()) == 1
    with pytest.raises(NotRead, match=words):
        read_cases(raw)


def test_a_file_that_is_not_there_ends_with_two(monkeypatch):
    code, _out, err = _run(monkeypatch, b"", "not_there.json")
    assert code == 2 and "can't be read" in err


def test_a_bad_case_leaves_the_others_alone():
    found = _answers(
        '[{"figure": "box.capacity", "inputs": {"volume_in3": NaN, "awg": 8}}, 5, null, [], '
        + json.dumps(CAPACITY)
        + "]"
    )
    assert ["error" in one for one in found] == [True, True, True, True, False]
    assert found[0]["error"].startswith("volume_in3: NaN is not a number")


@pytest.mark.parametrize(
    "number",
    ["NaN", "Infinity", "-Infinity", "1e999", "9" * 5000, '"12"', "true", "-1", "0", "1e-300", "1e300", "[]", "{}"],
)
def test_no_number_that_is_none_gets_in(number):
    (found,) = _answers('[{"figure": "box.capacity", "inputs": {"volume_in3": ' + number + ', "awg": 8}}]')
    assert found["error"].startswith("volume_in3: ")
    assert len(found["error"]) < 200


def test_missing_and_unknown_inputs_are_named():
    assert _error("joist.hole") == "depth_in: is missing. Give a number over 0, to 1000, in in."
    assert _error("joist.hole", depth_in=None).startswith("depth_in: is missing")
    assert "Did you mean depth_in?" in _error("joist.hole", dept_in=9)
    assert "It takes depth_in." in _error("joist.hole", depth_in=9, color="red")
    assert "Did you mean box.fill?" in _error("box.fil")
    assert answered({"figure": ["box"], "inputs": {}})["error"].startswith("figure:")
    assert answered({"figure": "box.fill", "inputs": []})["error"].startswith("inputs:")
    assert answered({"figure": "box.fill"})["error"].startswith("inputs:")
    assert answered({"inputs": {}})["error"].startswith("figure:")


def test_a_name_that_stands_twice_is_not_chosen_between():
    (found,) = _answers('[{"figure": "joist.hole", "inputs": {"depth_in": 9.25, "depth_in": 5.5}}]')
    assert "'depth_in' stands twice" in found["error"]


def test_old_answers_in_a_list_are_made_anew():
    assert answered({**CAPACITY, "error": "old", "result": 3}) == {**CAPACITY, "result": {"count": 4}}


def test_part_of_a_list_is_named_by_its_place():
    good, bad = {"awg": 12, "count": 2}, {"awg": 12, "count": 1.5}
    assert _error("box.fill", conductors=[good, bad]).startswith("conductors: number 2: count: 1.5")
    assert "gauge" in _error("box.fill", conductors=[{"awg": "big", "count": 1}])
    assert "is not part of it" in _error("box.fill", conductors=[{**good, "size": 3}])


def test_what_the_engine_refuses_is_said_in_its_words():
    assert "heavier gauge" in _error("drop.constant_power", volts=12, watts=500, awg=18, one_way_ft=100)
    assert "less than 100" in _error("bid.sum", **(BID | {"profit_pct": "100"}))
    assert "nothing is left" in _error("stack.net", length=9, width=9, left=5, right=4, bottom=0, top=0)
    assert "can't meet" in _error("survey.diagonal", bottom=10, right=1, top=10, left=1, diagonal_bl_tr=50)
    assert "longest reel" in _error("reels.plan", pieces=[300], packs=[{"length": 250, "price": "1.00"}])


BID = {one.name: one.example for one in FIGURES["bid.sum"].inputs}


@pytest.mark.parametrize("amount", ["-1", "NaN", "1e-9", "Infinity", "six", "", "1_000", "٣", "1" * 50, None, True])
def test_money_is_a_plain_decimal(amount):
    assert _error("bid.sum", **(BID | {"material": amount})).startswith("material: ")


def test_ten_thousand_points_are_refused_before_any_search():
    for figure, start in (("wire.chain", "start"), ("wire.tree", "root")):
        assert "10000 were given" in _error(figure, points=[[at, at] for at in range(10_000)], **{start: [0, 0]})


def test_lengths_stay_exact_in_any_unit():
    """A third of a foot written out, and meters: no tick and no inch is meant."""
    found = answered(
        {
            "figure": "bay.travel",
            "inputs": {"spacing": 0.4064, "member_width": 0.0381, "cutout": 0.161925, "gap": 0.0127},
        }
    )
    assert found["result"]["travel"] == pytest.approx(0.0904875, abs=1e-12)
    net = answered(
        {
            "figure": "stack.net",
            "inputs": {"length": 0.1, "width": 0.3, "left": 0.01, "right": 0.02, "bottom": 0, "top": 0.1},
        }
    )
    assert net["result"] == {"length": 0.07, "width": 0.2, "shift_along": -0.005, "shift_across": -0.05}


JSON_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**12), 10**12) | st.floats() | st.text(max_size=8),
    lambda inside: st.lists(inside, max_size=4) | st.dictionaries(st.text(max_size=5), inside, max_size=3),
    max_leaves=6,
)


@settings(max_examples=150)
@given(st.data())
def test_no_input_whatever_ends_in_a_traceback(data):
    figure = data.draw(st.sampled_from(sorted(FIGURES)))
    inputs = {one.name: one.example for one in FIGURES[figure].inputs}
    for name in data.draw(st.lists(st.sampled_from(sorted(inputs)), min_size=1, max_size=3)):
        inputs[name] = data.draw(JSON_VALUES)
    found = answered({"figure": figure, "inputs": inputs})
    assert ("result" in found) is not ("error" in found)
    json.dumps(found.get("result", found.get("error")), allow_nan=False)
