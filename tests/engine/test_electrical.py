"""Conductors, drops, circuits, boxes, dimmers and speaker lines: where people slip, said one by one. No database."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.wiring import boxes, circuits, conductors, dimmers, drop, holes, speaker_lines
from layout.engine.wiring.boxes import Conductors, Device, What
from layout.engine.wiring.conductors import ElectricalError
from layout.engine.wiring.dimmers import DimmerProduct, Load, NotOnSheet, TroubleKind
from projects.catalogue.electrical import electrical

TABLE = electrical().boxes

# --- conductors and drop


def test_one_way_is_taken_twice_exactly_once():
    """100 ft of 12 AWG at 75 C is 200 ft of wire: 0.386 ohm by NEC chapter 9 Table 8 (1.93 per 1000 ft, seen)."""
    assert conductors.loop_ohm(12, 100, 75) == pytest.approx(0.386, rel=0.005)


def test_the_20_c_wire_tables_are_18_percent_below_the_75_c_ones():
    assert 1 - conductors.ohm_per_kft(14, 20) / conductors.ohm_per_kft(14, 75) == pytest.approx(0.178, abs=0.001)


def test_an_ohm_per_1000_ft_is_3_28_ohms_per_km():
    """14 AWG solid at 75 C: 10.1 ohm/km (public table, seen)."""
    assert conductors.ohm_per_kft(14) * 3.2808 == pytest.approx(10.1, abs=0.05)


def test_strand_has_two_percent_more():
    assert conductors.ohm_per_kft(12, stranded=True) / conductors.ohm_per_kft(12) == pytest.approx(1.02)


@pytest.mark.parametrize(("awg", "words"), [(12, "12 AWG"), (1, "1 AWG"), (0, "1/0 AWG"), (-3, "4/0 AWG")])
def test_gauges_are_said_as_the_trade_says_them(awg, words):
    assert conductors.in_words(awg) == words


@pytest.mark.parametrize("awg", [41, -4])
def test_a_gauge_past_the_table_is_refused(awg):
    with pytest.raises(ElectricalError, match="Gauge"):
        conductors.diameter_mil(awg)


def test_the_load_farthest_along_a_chain_loses_most_and_each_segment_carries_all_beyond():
    """Two loads of 1 A, a segment of 1 ohm before each: 2 V at the first, 3 V at the second. By hand."""
    assert drop.along([1, 1], [1, 1]) == (2, 3)
    assert drop.along([1, 1], [5, 1]) == (6, 7)  # a heavy load near the source pulls everything behind it down


def test_on_a_branching_run_the_worst_is_not_the_farthest():
    """A stub of 3 ohms with 1 A hangs at the source, a load of 4 A one ohm out feeds one of 0.1 A half an ohm on.

    By hand: 3 V; 4.1 V; 4.1 + 0.05 = 4.15 V at 1.5 ohms, although the stub's 3 ohms are farther.
    """
    volts = drop.branching([None, None, 1], [3, 1, 0.5], [1, 4, 0.1])
    assert volts == pytest.approx((3, 4.1, 4.15))
    assert drop.branching([None, 0, 1], [1, 2, 3], [1, 1, 1]) == drop.along([1, 2, 3], [1, 1, 1])
    with pytest.raises(ElectricalError, match="load 1 is to be fed"):
        drop.branching([0], [1], [1])


@settings(max_examples=40)
@given(
    ohm=st.floats(0.1, 20),
    home=st.floats(0, 200),
    spacing=st.floats(0, 50),
    count=st.integers(1, 30),
    amps=st.floats(0.01, 5),
)
def test_the_chain_of_equal_lights_is_the_sum_over_its_segments(ohm, home, spacing, count, amps):
    segments = [2 * ohm / 1000 * feet for feet in (home, *[spacing] * (count - 1))]
    assert drop.chain(ohm, home, spacing, count, amps) == pytest.approx(drop.along(segments, [amps] * count)[-1])


def test_a_chain_first_load_one_spacing_out_is_the_factor_of_all_at_the_end():
    at_end = drop.along([8.0], [8.0])[-1]
    spread = drop.along([1.0] * 8, [1.0] * 8)[-1]
    assert spread / at_end == drop.chain_factor(8) == 0.5625


def test_a_driver_gets_less_than_a_constant_current_says():
    """24 V, 96 W, 30 ft of 16 AWG at 20 C: 22.994 V, where the current 96 / 24 alone would leave 23.036 V."""
    assert drop.constant_power(24, 96, 16, 30) == pytest.approx(22.9941, abs=1e-4)
    assert 24 - 4 * conductors.loop_ohm(16, 30, 20) == pytest.approx(23.0363, abs=1e-4)


@settings(max_examples=40)
@given(volts=st.floats(5, 480), watts=st.floats(0.1, 5000), awg=st.integers(4, 22), feet=st.floats(1, 500))
def test_a_load_of_constant_power_draws_its_watts_or_is_refused(volts, watts, awg, feet):
    loop = conductors.loop_ohm(awg, feet, 20)
    try:
        there = drop.constant_power(volts, watts, awg, feet)
    except drop.CannotBeFed:
        assert volts**2 / (4 * loop) < watts
    else:
        assert (volts - there) / loop * there == pytest.approx(watts, rel=1e-6)
        assert there >= volts / 2


def test_what_cannot_be_fed_says_how_much_can():
    with pytest.raises(drop.CannotBeFed, match=r"28.19 W at most.*heavier gauge"):
        drop.constant_power(12, 500, 18, 100)


# --- circuits


def test_only_the_continuous_part_is_taken_by_a_quarter_more():
    """10 A of receptacles and 8 A of lighting: 10 + 1.25 x 8 = 20 A, not 22.5. NEC 210.20(A), by hand."""
    assert circuits.least_breaker_a(10, 8) == 20
    assert circuits.breaker_for(electrical().breakers, 10, 8).amps == 20
    assert circuits.breaker_for(electrical().breakers, 10, 8.1).amps == 30
    assert circuits.breaker_for(electrical().breakers, 30, 8) is None


@pytest.mark.parametrize(("breaker", "va"), [(15, 1440), (20, 1920), (30, 2880)])
def test_continuous_va_at_120_v(breaker, va):
    assert circuits.continuous_va(breaker, 120) == va


def test_va_are_added_up_not_watts():
    assert circuits.load_va(13.5, 0.9) == 15
    assert circuits.lights_on_circuit(15, 120, 13.5, 1) == 106  # 1440 / 13.5 = 106.7
    assert circuits.lights_on_circuit(15, 120, 13.5, 0.9) == 96  # exactly, and no float takes one away


def test_bundled_cables_carry_less():
    table = electrical().bundling
    kept = {count: circuits.bundled_percent(table, count) for count in (3, 4, 6, 7, 9, 10, 20, 21, 31, 41, 400)}
    assert kept == {3: 100, 4: 80, 6: 80, 7: 70, 9: 70, 10: 50, 20: 50, 21: 45, 31: 40, 41: 35, 400: 35}


# --- boxes


def _count(fill, what):
    return next(line.count for line in fill.counted if line.what is what)


def test_six_grounds_by_edition():
    """One allowance for all before 2020; from then on a quarter more for each past four. NEC 314.16(B)(5)."""
    six = [Conductors(14, 6)]
    assert _count(boxes.fill(TABLE, [Conductors(14, 12)], six, edition=2017), What.GROUNDS) == 1
    assert _count(boxes.fill(TABLE, [Conductors(14, 12)], six, edition=2020), What.GROUNDS) == 1.5
    assert _count(boxes.fill(TABLE, [Conductors(14, 8)], [Conductors(14, 4)], edition=2023), What.GROUNDS) == 1


def test_clamps_go_by_the_box_devices_by_their_own_conductor_grounds_by_the_largest_ground():
    fill = boxes.fill(
        TABLE, [Conductors(14, 4), Conductors(10, 2)], [Conductors(12, 1), Conductors(14, 2)], [Device(14)],
        internal_clamps=True,
    )  # fmt: skip
    by = {line.what: line.awg for line in fill.counted if line.what is not What.CONDUCTORS}
    assert by == {What.CLAMPS: 10, What.DEVICES: 14, What.GROUNDS: 12}
    assert fill.in3 == sum(line.in3 for line in fill.counted)


def test_a_device_of_two_gangs_counts_four_and_a_loop_two():
    fill = boxes.fill(TABLE, [Conductors(12, 2)], devices=[Device(12, 1, 2)], loops=[Conductors(12, 1)], studs=1)
    assert [line.count for line in fill.counted] == [2, 2, 1, 4]


def test_clamps_alone_in_a_box_are_refused_in_words():
    with pytest.raises(ElectricalError, match="Enter the conductors"):
        boxes.fill(TABLE, internal_clamps=True)


def test_a_4_in_square_box_is_21_in3_although_its_outside_multiplies_to_24():
    assert next(box.in3 for box in TABLE.boxes if box.key == "square_4x1_1_2") == 21.0


def test_the_smallest_box_that_holds_the_fill_comes_first():
    """21.5 in3 is half a cubic inch too much for the 4 x 1 1/2 square (worked example, seen)."""
    names = [box.key for box in boxes.choose(TABLE, 21.5)]
    assert names[0] == "round_4x2_1_8" and "square_4x1_1_2" not in names
    assert boxes.choose(TABLE, 500) == ()
    assert all(box.gangs == 2 and box.marked for box in boxes.choose(TABLE, 20, 2))


def test_every_row_of_the_table_says_where_it_is_from():
    table = electrical()
    for row in (*table.boxes.boxes, *table.breakers, *table.bundling, *table.dimmers):
        assert "seen" in row.source or "memory" in row.source


# --- holes


@pytest.mark.parametrize(
    ("depth", "hole", "by"),
    [(5.5, 1.5, "edges"), (7.25, 2.417, "third"), (9.25, 3.083, "third"), (11.25, 3.75, "third")],
)
def test_two_inches_at_the_edges_beat_a_third_in_a_shallow_joist(depth, hole, by):
    """IRC R502.8.1 (secondary copies seen). Depths are actual, not as lumber is named."""
    found = holes.largest(depth)
    assert found.diameter_in == pytest.approx(hole, abs=0.001) and by in found.governed_by


def test_notches_and_plates_have_rules_of_their_own():
    assert holes.largest_notch_in(7.25) == pytest.approx(1.208, abs=0.001)
    assert holes.largest_end_notch_in(7.25) == pytest.approx(1.813, abs=0.001)
    assert holes.largest_stud_hole_in(3.5) == pytest.approx(1.4)
    assert holes.wants_plate(3.5, 1.25) and not holes.wants_plate(9.25, 1)


def test_a_joist_too_shallow_for_any_hole_says_so():
    with pytest.raises(ElectricalError, match="no bored hole"):
        holes.largest(3.5)


# --- dimmers

SHEET = DimmerProduct(
    "one", "A dimmer", {Load.INCANDESCENT: (600, 500, 400), Load.LED: (150, None, None)}, {Load.LED: 10}, "invented"
)


def test_a_dimmer_between_two_loses_both_its_sides():
    assert [dimmers.sides_removed(1, 1), *(dimmers.sides_removed(3, place) for place in (1, 2, 3))] == [0, 1, 2, 1]


def test_a_published_sheet_in_a_gang():
    """500 W alone, 400 with one side removed, 300 with both (one published sheet, seen)."""
    lamp = electrical().dimmers[0]
    assert [dimmers.rating(lamp, Load.INCANDESCENT, removed) for removed in (0, 1, 2)] == [500, 400, 300]
    with pytest.raises(NotOnSheet, match="led rating standing alone"):
        dimmers.rating(lamp, Load.LED)


def test_an_led_rating_in_a_gang_is_never_guessed():
    assert dimmers.rating(SHEET, Load.LED) == 150
    with pytest.raises(NotOnSheet, match="one side removed"):
        dimmers.rating(SHEET, Load.LED, 1)


def test_too_little_matters_as_much_as_too_much():
    kinds = [[one.kind for one in dimmers.suits(SHEET, Load.LED, watts)] for watts in (5, 80, 160)]
    assert kinds == [[TroubleKind.TOO_LITTLE], [], [TroubleKind.TOO_MUCH]]
    assert dimmers.suits(SHEET, Load.INCANDESCENT, 100)[0].kind is TroubleKind.LEAST_UNKNOWN


# --- speaker lines


def test_the_thinnest_gauge_that_reaches():
    """5 % of 8 ohms: 16 AWG reaches about 48 ft, 14 AWG about 80 (published table, reprint seen)."""
    assert [speaker_lines.gauge_for(8, feet, 5) for feet in (20, 45, 75, 500)] == [18, 16, 14, None]


def test_taps_against_their_amplifier():
    load = speaker_lines.line_load(70.7, [10] * 10, 120)
    assert (load.total_w, load.allowed_w, load.headroom_w) == (100, 96, -4)
    assert load.ohm == pytest.approx(49.98, abs=0.01)


@settings(max_examples=30)
@given(st.integers(1, 25), st.floats(1, 200), st.floats(1, 60), st.floats(1, 60))
def test_the_last_tap_by_solving_the_whole_ladder(taps, home, spacing, watts):
    """Forward: guess the last tap's volts, walk back to the amplifier, compare. No divider in sight."""
    tap = 70.7**2 / watts
    volts, amps = 1.0, 1.0 / tap
    for place in range(taps - 1, -1, -1):
        volts += amps * conductors.loop_ohm(18, spacing if place else home, 20)
        if place:
            amps += volts / tap
    found = speaker_lines.last_tap_db(70.7, 18, home, spacing, taps, watts)
    assert 10 ** (found / 20) == pytest.approx(1 / volts, rel=1e-9)
