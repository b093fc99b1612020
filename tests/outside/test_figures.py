"""Every figure against worked cases from outside: published examples, handbook tables, closed forms, exhaustive search.

figure_cases.json is run through the batch command's own code; electrical_cases.json through the engine, each number
reached as its source reached it. `published_value` says whether a printed number stood behind a case; where it is
false the source is a closed form or a second route to the number, worked apart from this code.
"""

import json
import math
from pathlib import Path

import pytest

from layout.engine.wiring import boxes, circuits, conductors, drop, holes, speaker_lines
from layout.engine.wiring.boxes import Conductors, Device
from projects.catalogue.electrical import electrical
from reports.figures.batch import answered, read_cases, written

HERE = Path(__file__).parent
ELECTRICAL = json.loads((HERE / "electrical_cases.json").read_text())


def _close(found, case):
    expected = case["expected"]
    wanted = expected if isinstance(expected, dict) else {next(iter(found)): expected}
    allowed = {"absolute": 1.0, "relative": None}[case["tolerance_kind"]]
    for name, value in wanted.items():
        if isinstance(value, str):
            assert found[name] == value, name
        else:
            assert math.isclose(found[name], value, rel_tol=0, abs_tol=case["tolerance"] * (allowed or abs(value))), (
                f"{name}: {found[name]}, not {value}"
            )


def test_every_worked_case_comes_out_of_the_batch():
    cases = read_cases((HERE / "figure_cases.json").read_bytes())
    answers = json.loads(written([answered(case) for case in cases]))
    assert len(answers) == len(cases) >= 58
    wrong = []
    for case in answers:
        try:
            _close(case["result"], case)
        except (AssertionError, KeyError) as error:
            wrong.append((case["id"], case.get("error", str(error))))
    assert wrong == []


TABLE = electrical().boxes
# Each published count as the engine is asked for it.
ASKED = {
    "EC01": lambda: conductors.diameter_mil(12),
    "EC04": lambda: conductors.ohm_per_kft(14, 20),
    "EC05": lambda: conductors.ohm_per_kft(14, 75),
    "EC06": lambda: conductors.ohm_per_kft(12, 75, True),
    "VD01": lambda: drop.by_constant(12.9, 20, 100, 6530),
    # Table 8, 75 C, strand: 3.14 ohm per 1000 ft of 14 AWG (seen); ten times 12 W at 120 V.
    "VD03": lambda: drop.along([2 * 3.14e-3 * feet for feet in (40, *[6] * 9)], [0.1] * 10)[-1],
    "VD04": lambda: drop.constant_power(24, 96, 16, 30),
    "VD05": lambda: drop.longest_run(3.14, 24, 96, 3),
    "VD06": lambda: drop.chain_factor(8),
    "CB01": lambda: circuits.continuous_va(20, 120),
    "CB03": lambda: circuits.dwelling_va(1650),
    "CB04": lambda: circuits.lights_on_circuit(15, 120, 13.5, 0.9),
    "BX01": lambda: boxes.fill(TABLE, [Conductors(12, 4)], [Conductors(12, 2)], [Device(12)], internal_clamps=True).in3,
    "BX02": lambda: (
        boxes.fill(
            TABLE,
            [Conductors(12, 7), Conductors(10, 2)],
            [Conductors(10, 1)],
            [Device(12)],
            isolated_grounds=[Conductors(12, 1)],
        ).in3
    ),
    "BX03": lambda: (
        boxes.fill(
            TABLE, [Conductors(14, 4), Conductors(12, 2)], [Conductors(12, 3)], [Device(12)], internal_clamps=True
        ).in3
    ),
    "BX04": lambda: (
        boxes.fill(TABLE, [Conductors(14, 12)], [Conductors(14, 6)], internal_clamps=True, edition=2020).in3
    ),
    "BX06": lambda: boxes.capacity(TABLE, 12.5, 8),
    "FR01": lambda: holes.largest(9.25).diameter_in,
    "FR02": lambda: holes.largest(5.5).diameter_in,
    "SW01": lambda: speaker_lines.loss_db(18, 100, 8),
    "SW03": lambda: speaker_lines.longest_run_ft(14, 8, 5),
    "SW04": lambda: speaker_lines.longest_run_ft(16, 8, 5),
    "SW05": lambda: speaker_lines.damping(0.4, 8, 0.04),
    "HZ01": lambda: speaker_lines.line_ohm(70.7, 100),
    "HZ02": lambda: speaker_lines.last_tap_db(70.7, 18, 100, 15, 12, 10),
}


@pytest.mark.parametrize("case", ELECTRICAL, ids=lambda case: case["id"])
def test_the_engine_comes_to_the_published_electrical_number(case):
    _close({"found": ASKED[case["id"]]()}, case)


def test_no_electrical_case_is_left_out():
    assert {case["id"] for case in ELECTRICAL} == set(ASKED)


# NEC chapter 9 Table 8, uncoated copper at 75 C, ohms per 1000 ft, and ASTM B258 areas (public copies, seen; strand of
# 10 and 8 AWG from memory).
TABLE_8 = {18: (7.77, 7.95), 16: (4.89, 4.99), 14: (3.07, 3.14), 12: (1.93, 1.98), 10: (1.21, 1.24), 8: (0.764, 0.778)}
AREAS = {22: 642, 20: 1022, 18: 1620, 16: 2580, 14: 4110, 12: 6530, 10: 10380, 8: 16510}


@pytest.mark.parametrize("awg", TABLE_8)
def test_copper_comes_near_the_table_at_75_c(awg):
    solid, strand = TABLE_8[awg]
    assert conductors.ohm_per_kft(awg) == pytest.approx(solid, rel=0.005)
    assert conductors.ohm_per_kft(awg, stranded=True) == pytest.approx(strand, rel=0.007)


def test_areas_are_the_wire_tables():
    for awg, cmil in AREAS.items():
        assert conductors.circular_mils(awg) == pytest.approx(cmil, rel=0.003)  # the table's are rounded
    assert conductors.diameter_mil(-3) == pytest.approx(460, rel=1e-6)  # 4/0 is 0.4600 in (ASTM B258)
