"""Lengths in JSON: as a person writes them or in whole nanometers, exact both ways. 1 in = 25.4 mm (NIST SP 811)."""

import pytest

from projects.jobs.models import Reading
from projects.platform.permissions import Role
from tests.api.houses import House, wrong_at

IN = 25_400_000


def visit(**readings):
    taken = {"kind": "framing", "taken_on": "2026-05-03", "taken_by": "R.", "instrument": "tape"}
    return {**taken, "readings": {wall: [{"value": value}] for wall, value in readings.items()}}


@pytest.mark.parametrize(
    ("written", "nm", "read"),
    [
        ("150 1/2 in", 150 * IN + IN // 2, '150 1/2"'),
        ("12' 6 1/2\"", 150 * IN + IN // 2, '150 1/2"'),
        ("12′ 6½″", 150 * IN + IN // 2, '150 1/2"'),
        ("75 1/4", 75 * IN + IN // 4, '75 1/4"'),
        ("3810 mm", 3_810_000_000, '150"'),
        ({"nm": 3_810_000_001}, 3_810_000_001, '150"'),
        ({"nm": 75 * IN + IN // 64}, 75 * IN + IN // 64, '75"'),
        ({"nm": 1_911_350_000, "text": "as it was read"}, 1_911_350_000, '75 1/4"'),
    ],
    ids=str,
)
def test_a_length_is_kept_to_the_nanometer_and_read_back_in_both_ways(house, written, nm, read):
    asker, address = house.ask(Role.CREW), house.address("measurements")
    told = asker.post(address, visit(door=written)).json()
    assert told["readings"]["door"] == [{"value": {"nm": nm, "text": read}, "taken_at_height": None}]
    assert int(Reading.objects.order_by("-pk").first().value) == nm


@pytest.mark.parametrize("number", [150, 150.5, 0, -3, True, False, {"nm": 1.5}, {"nm": "1"}, {"nm": True},
                                    {"in": 150}, {"nm": 1, "mm": 1}], ids=repr)  # fmt: skip
def test_a_bare_number_is_refused_with_the_remedy(house, number):
    """Nobody could tell whether 150 was inches or centimeters."""
    wrong = wrong_at(house.ask().post(house.address("measurements"), visit(door=number)))
    [said] = [said for where, said in wrong.items() if where.startswith("/readings/door/0/value")]
    assert "nanometers" in said and "with its unit" in said


@pytest.mark.parametrize(
    "text",
    ["-3'", "0", "-0", "12' 14\"", "1/3 in", "1_000", "1e400", "NaN", "١٢", "10 miles", "1" * 5000, "12\x07", "½½"],
    ids=lambda text: repr(text[:12]),
)
def test_what_is_no_length_is_refused_at_its_place(house, text):
    wrong = wrong_at(house.ask().post(house.address("measurements"), visit(door=text, left="93 in")))
    assert list(wrong) == ["/readings/door/0/value"]


@pytest.mark.parametrize("value", ["1 in", {"nm": 1}, {"nm": -IN}, {"nm": 10**30}, {"nm": 10**4000}, "301 ft"],
                         ids=lambda value: str(value)[:20])  # fmt: skip
def test_the_bounds_of_the_page_hold_for_nanometers_too(house, value):
    wrong = wrong_at(house.ask().post(house.address("measurements"), visit(door=value)))
    assert list(wrong) == ["/readings/door/0/value"]


def test_a_length_that_can_be_read_in_two_ways_is_asked_about_with_both(db):
    house = House(style="ft-in")
    response = house.ask().post(house.address("measurements"), visit(door="12.6"))
    [error] = response.json()["errors"]
    assert (response.status_code, error["pointer"], error["code"]) == (400, "/readings/door/0/value", "ambiguous")
    assert error["readings"] == ["12'-6\"", "12.6 in"]
    for reading, nm in zip(error["readings"], (150 * IN, 320_040_000), strict=True):
        told = house.ask().post(house.address("measurements"), visit(door=reading)).json()
        if nm >= 12 * IN:
            assert told["readings"]["door"][0]["value"]["nm"] == nm


def test_one_of_several_lengths_is_asked_about_at_its_own_place(db):
    house = House(style="ft-in")
    body = {"mode_along": "locked", "typed_along": ["2 ft", "12.6", 4, "75 in"]}
    response = house.ask().post(house.address("preview"), body)
    assert [error["pointer"] for error in response.json()["errors"]] == ["/typed_along/1"]
    assert response.json()["errors"][0]["readings"] == ["12'-6\"", "12.6 in"]
    body["typed_along"][1] = "12.6 in"
    assert list(wrong_at(house.ask().post(house.address("preview"), body))) == ["/typed_along/2"]


def test_a_job_in_millimeters_is_read_and_told_in_millimeters(db):
    house = House(style="mm", fraction=1)
    told = house.ask().post(house.address("measurements"), visit(door="3840", left="3,81 m")).json()
    assert told["readings"]["door"][0]["value"] == {"nm": 3_840_000_000, "text": "3840 mm"}
    assert told["readings"]["left"][0]["value"] == {"nm": 3_810_000_000, "text": "3810 mm"}


def test_numbers_typed_finer_than_the_tape_outlive_an_edit_of_something_else(house):
    asker, address = house.ask(), house.address("draft")
    fine = [{"nm": 12 * IN + IN // 64}, {"nm": 75 * IN}]
    kept = asker.edit("PATCH", address, {"mode_along": "locked", "typed_along": fine}).json()["typed_along"]
    assert [each["nm"] for each in kept] == [12 * IN + IN // 64, 75 * IN]
    assert asker.edit("PATCH", address, {"rows": 3}).json()["typed_along"] == kept
