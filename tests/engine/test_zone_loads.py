"""What hangs on a switch, in its box and on its circuit: summed by hand, and what nobody knows is never guessed.

Sources: the allowances of NEC 314.16(B) and the 80 % of NEC 210.20(A), public copies; a published dimmer sheet, 500 W
alone, 400 W with one side removed, 300 W with both.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.wiring.dimmers import DimmerProduct, Load
from layout.engine.wiring.zone_loads import (
    CableWhy,
    Control,
    InBox,
    LightLoad,
    Said,
    Sum,
    in_order,
    load_of,
    on_circuit,
    on_dimmer,
    sides_off,
    switch_box,
)
from projects.catalogue.electrical import electrical

TABLE = electrical().boxes
# The published sheet's three numbers, taken as LED ones
SHEET = DimmerProduct("d", "Dimmer", {Load.LED: (500, 400, 300)}, {Load.LED: 25}, "one published sheet")


def switch(letter, awg=14, **more):
    return InBox(letter, Control.SWITCH, awg, "1", **more)


def dimmer(letter, product=SHEET, come_off=True, **more):
    return InBox(letter, Control.DIMMER, 14, "1", product=product, sections_come_off=come_off, **more)


# Loads


def test_watts_add_up_and_what_is_not_known_is_counted_as_not_known():
    """Four of 9 W at 10 VA, two of 12 W without a power factor, one nobody knows anything of."""
    load = load_of([LightLoad(4, 9, 10), LightLoad(2, 12, None), LightLoad(1, None, None)])
    assert load == Sum(lights=7, watts=60, watts_unknown=1, va=64, va_unknown=3)


def test_a_circuit_takes_80_percent_of_its_breaker_and_not_one_light_more():
    """15 A at 120 V: 1440 VA, 96 lights of 15 VA. NEC 210.20(A)."""
    assert on_circuit(15, 120, load_of([LightLoad(96, 15, 15)])).most_va == 1440
    assert not on_circuit(15, 120, load_of([LightLoad(96, 15, 15)])).over
    assert on_circuit(15, 120, load_of([LightLoad(97, 15, 15)])).over
    assert on_circuit(20, 120, Sum()).left_va == 1920


# Dimmers in their box


@pytest.mark.parametrize(("gangs", "off"), [(1, [0]), (2, [1, 1]), (3, [1, 2, 1]), (4, [1, 2, 2, 1])])
def test_a_dimmer_loses_a_side_to_each_neighbor(gangs, off):
    devices = [dimmer(letter) for letter in "ABCD"[:gangs]]
    assert [sides_off(devices, at) for at in range(gangs)] == off


@pytest.mark.parametrize(("at", "limit"), [(0, 400), (1, 300), (2, 400)])
def test_the_one_in_the_middle_takes_least(at, limit):
    devices = [dimmer(letter) for letter in "ABC"]
    assert on_dimmer(devices, at, Sum(10, 350, 0, 350, 0)).limit_w == limit
    assert (Said.TOO_MUCH in on_dimmer(devices, at, Sum(10, 350, 0, 350, 0)).said) is (limit < 350)


def test_a_dimmer_whose_sections_stay_on_keeps_its_rating_in_a_gang():
    assert on_dimmer([dimmer("A", come_off=False), dimmer("B")], 0, Sum(5, 450, 0, 450, 0)).said == (Said.KEEPS,)


def test_in_a_gang_an_unread_sheet_is_told_and_not_guessed():
    assert on_dimmer([dimmer("A", come_off=None), dimmer("B")], 0, Sum(5, 50, 0, 50, 0)).said == (
        Said.SECTIONS_UNKNOWN,
    )
    alone = DimmerProduct("d", "Dimmer", {Load.LED: (150, None, None)}, {}, "")
    assert on_dimmer([dimmer("A", alone), dimmer("B")], 0, Sum(5, 50, 0, 50, 0)).said == (Said.NOT_ON_SHEET,)
    assert on_dimmer([dimmer("A", None)], 0, Sum(5, 50, 0, 50, 0)).said == (Said.NO_PRODUCT,)


def test_a_rating_for_filament_lamps_says_nothing_of_led():
    lamp = DimmerProduct("d", "Dimmer", {Load.INCANDESCENT: (600, 500, 400)}, {}, "older control")
    assert on_dimmer([dimmer("A", lamp)], 0, Sum(5, 50, 0, 50, 0)).said == (Said.NOT_ON_SHEET,)


def test_too_little_load_matters_as_much_as_too_much():
    assert on_dimmer([dimmer("A")], 0, Sum(2, 18, 0, 18, 0)).said == (Said.TOO_LITTLE,)


def test_with_watts_unknown_nobody_says_it_is_too_little():
    assert on_dimmer([dimmer("A")], 0, Sum(4, 18, 2, 18, 2)).said == (Said.WATTS_UNKNOWN,)


def test_places_in_a_box_decide_and_letters_after_them():
    assert [one.letter for one in in_order([switch("C"), switch("A", place=2), switch("B", place=1)])] == [
        "B",
        "A",
        "C",
    ]


# Boxes, by hand with the allowances of NEC 314.16(B): 14 AWG 2.00, 12 AWG 2.25


def filled(*devices, on=(), edition=2023):
    return switch_box("", devices, TABLE, feeds_on=on, edition=edition)


def test_one_switch_with_a_feed_and_a_leg_asks_for_16_cubic_inches():
    """4 conductors 8.00, grounds 2.00, clamps 2.00, the yoke 4.00."""
    box = filled(switch("A"))
    assert (box.fill.in3, box.gangs) == (16.0, 1)
    assert box.choice[0].in3 == 18.0


def test_two_zones_of_one_circuit_share_a_feed():
    """6 conductors 12.00, 3 grounds 2.00, clamps 2.00, two yokes 8.00."""
    box = filled(switch("A"), switch("B"))
    assert (box.fill.in3, box.gangs, box.choice[0].in3) == (24.0, 2, 32.0)
    assert [cable.why for cable in box.cables] == [CableWhy.FEED_IN, CableWhy.LEG, CableWhy.LEG]


def test_a_feed_that_goes_on_brings_two_more_conductors():
    assert filled(switch("A"), on=("1",)).fill.in3 == 20.0


def test_travelers_bring_three_conductors_and_no_leg_leaves_the_far_box():
    """Near: 7 conductors 14.00, 3 grounds 2.00, clamps 2.00, yoke 4.00. Far: 3 conductors 6.00, 2.00, 2.00, 4.00."""
    assert filled(switch("A", three_way=True)).fill.in3 == 22.0
    assert filled(switch("A", three_way=True, leg=False)).fill.in3 == 14.0


def test_on_20_amps_the_heavier_copper_takes_more_room():
    """12 AWG: 4 conductors 9.00, grounds 2.25, clamps 2.25, yoke 4.50."""
    assert filled(switch("A", awg=12)).fill.in3 == 18.0


def test_a_device_of_two_gangs_counts_four():
    box = filled(switch("A", gangs=2))
    assert (box.fill.in3, box.gangs) == (20.0, 2)


def test_more_than_four_grounds_take_a_quarter_each_from_2020_on():
    """Four zones and a feed: 5 grounds, 1 1/4 allowances of 2.00 from 2020 on, 1 before."""
    four = [switch(letter) for letter in "ABCD"]
    assert filled(*four).fill.in3 - filled(*four, edition=2017).fill.in3 == 0.5


def test_where_no_box_on_file_holds_it_none_is_offered():
    many = [InBox(letter, Control.SWITCH, 12, circuit=letter) for letter in "ABCDEF"]
    assert filled(*many).choice == ()


@given(st.lists(st.sampled_from([14, 12, 10]), min_size=1, max_size=6), st.booleans())
@settings(max_examples=40, deadline=None)
def test_the_count_shown_is_the_volume_asked_for_and_more_never_needs_less(gauges, three_way):
    devices = [switch(letter, awg, three_way=three_way) for letter, awg in zip("ABCDEF", gauges, strict=False)]
    box = filled(*devices)
    assert sum(line.in3 for line in box.fill.counted) == pytest.approx(box.fill.in3)
    assert all(one.in3 >= box.fill.in3 and one.gangs == box.gangs for one in box.choice)
    if len(devices) > 1:
        assert box.fill.in3 > filled(*devices[:-1]).fill.in3
