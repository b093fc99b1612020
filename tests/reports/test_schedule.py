"""The fixture schedule as the office and the supplier read it."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from layout.engine.lengths import inches
from layout.engine.marks import Kind
from reports.estimating.schedule import FixtureFacts, Hole, ZoneLoad, job_schedule, type_letter

SMALL = FixtureFacts("small", Kind.LIGHT, "4 in light, new work", inches("4 1/4"), watts=Decimal("9"))
LARGE = FixtureFacts("large", Kind.LIGHT, "6 in light, new work", inches("6 3/8"), "R., bench", watts=Decimal("12"))
SPEAKER = FixtureFacts("speaker", Kind.SPEAKER, "6 1/2 in speaker", inches("8 1/4"), impedance_ohm=Decimal("8"))
TYPES = (SPEAKER, LARGE, SMALL)


def test_a_type_has_one_letter_through_the_whole_job_lights_first():
    job = job_schedule(
        [("Den", [Hole("SP1", "speaker"), Hole("A1", "large", "A")]), ("Bath", [Hole("A1", "small", "A")])], TYPES
    )
    assert [(row.letter, row.facts.key) for row in job.rows] == [("A", "small"), ("B", "large"), ("C", "speaker")]
    assert [(row.letter, row.facts.key) for row in job.rooms[0].rows] == [("B", "large"), ("C", "speaker")]


def test_after_type_z_comes_type_aa():
    assert [type_letter(number) for number in (0, 25, 26, 27, 51, 52)] == ["A", "Z", "AA", "AB", "AZ", "BA"]


def test_a_room_lists_its_holes_the_way_people_count_and_what_each_zone_carries():
    holes = [Hole(f"A{number}", "large", "A") for number in (10, 2, 1)] + [Hole("B1", "small", "B")]
    (room,) = job_schedule([("Den", holes)], TYPES).rooms
    large = room.rows[1]
    assert large.ids == ("A1", "A2", "A10")
    assert large.watts == 36
    assert room.zones == (ZoneLoad("A", 3, Decimal(36), 0), ZoneLoad("B", 1, Decimal(9), 0))


def test_unknown_watts_are_said_to_be_unknown_and_never_counted_as_none():
    dark = FixtureFacts("dark", Kind.LIGHT, "3 in light", inches("3 1/4"))
    (room,) = job_schedule([("Den", [Hole("A1", "dark", "A"), Hole("A2", "small", "A")])], (dark, SMALL)).rooms
    assert room.rows[0].watts is None
    assert room.zones == (ZoneLoad("A", 2, Decimal(9), 1),)


def test_types_whose_cutout_nobody_has_measured_are_held_up_to_the_reader():
    job = job_schedule([("Den", [Hole("A1", "large", "A"), Hole("A2", "small", "A")])], TYPES)
    assert [row.facts.key for row in job.not_verified] == ["small"]


@given(st.lists(st.lists(st.sampled_from(["small", "large", "speaker"]), max_size=12), max_size=6))
def test_the_job_counts_exactly_what_its_rooms_count(rooms):
    named = [
        (f"Room {number}", [Hole(f"A{place}", key, "A") for place, key in enumerate(keys, start=1)])
        for number, keys in enumerate(rooms)
    ]
    job = job_schedule(named, TYPES)
    assert sum(row.count for row in job.rows) == sum(len(keys) for keys in rooms)
    for row in job.rows:
        assert row.count == sum(keys.count(row.facts.key) for keys in rooms)
