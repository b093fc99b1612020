"""A room file is read to the last digit or refused by name, and answered in one line of exact numbers."""

import io
import json
import subprocess
import sys
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.core.management import call_command

from layout.engine.placement.answer import answer
from layout.engine.placement.problem import ProblemError
from layout.engine.placement.read import read_json, read_problem

ROOM = {
    "unit": "in",
    "L": 187.5,
    "W": 98.5,
    "rows": 2,
    "cols": 4,
    "light": {"cutout_d": 4.25, "clear": 0.25},
    "end_setback": {"min": 12, "max": 20, "pref": 15},
    "row_setback": {"min": 14, "max": 24, "pref": 18},
    "spacing_max": 72,
    "speaker": {"cutout_d": 8, "gaps": [1, 3]},
}
ROOT = Path(__file__).parents[2]


def with_text(key, text):
    """The room with a key's value written as given, quotes and all."""
    return json.dumps({**ROOM, key: "@@"}).replace('"@@"', text)


def answered(text):
    return json.loads(answer(text), parse_float=Decimal)


class TestReading:
    def test_numbers_and_strings_are_read_alike(self):
        texts = {key: str(value) if key in ("L", "W", "rows", "cols") else value for key, value in ROOM.items()}
        assert read_problem(read_json(json.dumps(texts))) == read_problem(read_json(json.dumps(ROOM)))

    @pytest.mark.parametrize("text", ["187.5", "187.50000", "1.875e2", '"187.5"', "1875E-1"])
    def test_one_length_has_many_spellings(self, text):
        assert read_problem(read_json(with_text("L", text))).length == 3000

    def test_a_quarter_tick_is_not_lost_to_binary(self):
        """0.1 mm is finer than a quarter millimeter; 0.25 is one."""
        metric = {**ROOM, "unit": "mm", "light": {"cutout_d": 100}, "L": 4000, "W": 3000, "edge_min": 0.25}
        assert read_problem(read_json(json.dumps(metric))).edge_min == 1
        with pytest.raises(ProblemError, match=r"edge_min: 0\.1 is finer than 1/4 mm"):
            read_problem(read_json(json.dumps({**metric, "edge_min": 0.1})))

    @pytest.mark.parametrize(
        ("key", "text", "said"),
        [
            ("L", "187.53", "L: 187.53 is finer than 1/16 in"),
            ("L", "-1", "L: -1 is less than 0"),
            ("L", "1e1000000", "L: 1e1000000 is not a number"),
            ("L", "1e99", "L: 1e99 in is too long"),
            ("L", "4000", "at most 300 ft"),
            ("L", "0", "more than 0"),
            ("L", "true", "L: true is not a number"),
            ("L", "null", "L: null is not a number"),
            ("L", '"1_0"', 'L: "1_0" is not a number'),
            ("L", '"١٢"', "is not a number"),
            ("L", "NaN", "NaN is not a number"),
            ("L", "-Infinity", "Infinity is not a number"),
            ("L", "9" * 5000, "is not a number"),
            ("L", "90", "W is more than L"),
            ("unit", '"ft"', 'unit: "ft"'),
            ("rows", "2.5", "rows: 2.5. Give a whole number"),
            ("cols", "0", "cols: 0"),
            ("spacing_max", "[]", "spacing_max"),
            ("joists", '[{"dir":"across"}]', "joists[1].first is missing"),
            ("joists", '[{"dir":"up","oc":16,"first":0,"width":1.5}]', 'joists[1].dir: "up". Write "across"'),
            ("joists", '[{"dir":"along","oc":0,"first":0,"width":1.5}]', "joists[1].oc: 0. Joists stand more than 0"),
            ("joists", '{"dir":"along"}', "Give a list"),
            ("obstructions", '[{"type":"circle"}]', "obstructions[1].r is missing"),
            ("obstructions", '[{"type":"rect","x0":2,"y0":0,"x1":1,"y1":1}]', "obstructions[1]: x0 is more than x1"),
            ("obstructions", '[{"type":"circle","x":1,"y":1,"r":1,"x0":1}]', "obstructions[1].x0 is not a known key"),
            ("obstructions", '[{"type":"star"}]', 'obstructions[1].type: "star"'),
            ("tile", '{"px":24}', "tile.py is missing"),
            ("tile", '{"px":24,"py":0}', "tile.py: 0. A tile has a size"),
            ("polygon", "[[0,0]]", "polygon is not supported yet"),
            ("colour", "1", "colour is not a known key"),
            ("light", '{"cutout_d":4,"size":1}', "light.size is not a known key"),
            ("light", '{"clear":1}', "light.cutout_d is missing"),
            ("light", '{"cutout_d":0}', "light.cutout_d: 0"),
            ("light", '{"cutout_d":4.0078125}', "light.cutout_d: 4.0078125 is finer than 1/32 in"),
            ("light", "4", "light: 4"),
            ("end_setback", '{"min":2,"max":1,"pref":1}', "end_setback: min is more than max"),
            ("end_setback", '{"min":2,"max":1}', "end_setback.pref is missing"),
            ("speaker", '{"cutout_d":8,"gaps":[1]}', "speaker.gaps: 1 has no mirror"),
            ("speaker", '{"cutout_d":8,"gaps":[4]}', "speaker.gaps: 4"),
            ("speaker", '{"cutout_d":8,"gaps":[2,2]}', "names a gap twice"),
            ("speaker", '{"cutout_d":8,"gaps":2}', "Give a list of gap numbers"),
        ],
    )
    def test_what_cannot_be_taken_is_named(self, key, text, said):
        with pytest.raises(ProblemError) as refused:
            answer(with_text(key, text))
        assert said in str(refused.value)
        assert len(str(refused.value)) < 300

    def test_a_missing_key_is_named(self):
        with pytest.raises(ProblemError, match="spacing_max is missing"):
            answer(json.dumps({key: value for key, value in ROOM.items() if key != "spacing_max"}))

    @pytest.mark.parametrize(
        ("text", "said"),
        [
            ("", "Not JSON"),
            ("[1]", "Give one {...} object"),
            ('{"L": 1, "L": 2}', '"L" stands twice'),
            ("[" * 100_000, "brackets deep"),
            ('{"note": ' + '"[[[' * 10, "Not JSON"),
            (" " * 1_000_001, "characters long"),
        ],
    )
    def test_what_is_no_room_file_is_refused_clearly(self, text, said):
        with pytest.raises(ProblemError) as refused:
            answer(text)
        assert said in str(refused.value)

    def test_none_of_something_may_be_said(self):
        assert answered(json.dumps({**ROOM, "joists": [], "tile": None, "speaker": None}))["z"] == []


class TestAnswering:
    def test_lengths_are_exact_decimals_in_the_rooms_unit(self):
        """L is an odd number of sixteenths: its middle column stands on a thirty-second."""
        odd = answered(json.dumps({**ROOM, "L": 187.0625, "cols": 3, "spacing_max": 99, "speaker": None}))
        assert odd["x"][1] == Decimal("93.53125")

    def test_what_is_passed_through_comes_back_as_written(self):
        text = answer(json.dumps({**ROOM, "id": 7, "note": "@"}).replace('"@"', '{"rev": 1.10, "by": ["é", null]}'))
        assert text.startswith('{"id": 7, "note": {"rev": 1.10, "by": ["\\u00e9", null]}')

    def test_broken_rules_say_where_and_by_how_much(self):
        """2 x 40 past the middle gap: one row's worth of lights 60 off a wall, where 20 is the most."""
        room = {**ROOM, "rows": 1, "spacing_max": 60, "speaker": None, "cols": 2}
        found = answered(json.dumps(room))
        # one gap is cheaper to break than two ends: 187.5 - 2 x 20 = 147.5, 87.5 over
        assert found["violations_by_rule"] == {
            "spacing": {"count": 1, "items": [{"where": "row 1, gap 1", "short_by": Decimal("87.5")}]}
        }
        assert (found["objective"]["violations"], found["objective"]["excess_ticks"]) == (1, 1400)

    def test_counts_and_excess_add_up_to_the_objective(self):
        found = answered(json.dumps({**ROOM, "W": 40, "edge_min": 9, "web_min": 50}))
        items = [item for rule in found["violations_by_rule"].values() for item in rule["items"]]
        assert sum(rule["count"] for rule in found["violations_by_rule"].values()) == len(items)
        assert len(items) == found["objective"]["violations"] > 0
        assert sum(-(-item["short_by"] * 16 // 1) for item in items) == found["objective"]["excess_ticks"]

    def test_no_layout_has_no_objective_and_no_positions(self):
        found = answered(json.dumps({**ROOM, "L": 2, "W": 2, "cols": 40, "speaker": None}))
        assert (found["status"], found["objective"]) == ("no_layout", None)
        assert (found["x"], found["y"], found["z"]) == ([], [], [])


class TestCommand:
    def run(self, *names, stdin=b""):
        return subprocess.run(
            [sys.executable, "manage.py", "place", *names], cwd=ROOT, input=stdin, capture_output=True, timeout=120
        )

    def test_files_are_answered_in_order_and_a_bad_one_is_named(self, tmp_path):
        good, bad = tmp_path / "good.json", tmp_path / "bad.json"
        good.write_text(json.dumps({**ROOM, "id": "den"}))
        bad.write_text(json.dumps({**ROOM, "color": 1}))
        done = self.run(str(bad), str(good), "-", str(tmp_path / "none.json"), stdin=b'\xef\xbb\xbf{"unit":"in"}')
        assert [json.loads(line)["id"] for line in done.stdout.splitlines()] == ["den"]
        first, second, third = done.stderr.decode().splitlines()
        assert first.startswith(f"{bad}: color is not a known key")
        assert second.startswith("-: ") and "is missing" in second
        assert third.endswith("No such file or directory.")
        assert done.returncode == 2

    def test_an_infeasible_room_is_an_answer(self, tmp_path, capsys):
        path = tmp_path / "room.json"
        path.write_text(json.dumps({**ROOM, "spacing_max": 20}))
        call_command("place", str(path))
        assert json.loads(capsys.readouterr().out)["status"] == "infeasible"

    def test_standard_input_that_is_no_text_is_refused(self, monkeypatch, capsys):
        monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=io.BytesIO(b"\xff\xfe")))
        with pytest.raises(SystemExit) as ended:
            call_command("place", "-")
        assert ended.value.code == 2
        assert capsys.readouterr().err.startswith("-: Not UTF-8 text")
