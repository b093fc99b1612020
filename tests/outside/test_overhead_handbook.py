"""Framing, fans and clearances against published tables and worked examples; each names where it was read."""

from dataclasses import dataclass
from fractions import Fraction

import pytest

from layout.engine.lengths import Length, Style, Tape, feet, inches, mm
from layout.engine.marks import Axis, Datum, Orientation, Side
from layout.engine.overhead.bays import clear_bay, free_travel, off_joist
from layout.engine.overhead.fan import fan_clear
from layout.engine.overhead.legal import clear_at
from layout.engine.overhead.stand import stand
from layout.engine.overhead.values import ClearTo, Frame, Joists, Overhead
from layout.engine.stacks import as_measured
from projects.catalogue import tables

JOIST, CHORD = inches("1 1/2"), inches("3 1/2")
QUARTER = inches("1/4")


@dataclass(frozen=True)
class Light:
    cutout: Length
    square: bool = False
    frame: Frame | None = None
    depth: Length | None = None


def sixteenths(distance):
    return Tape(Style.INCHES, 16).rounded(distance)


# --- bays


def test_19_2_in_is_a_fifth_of_a_sheets_length():
    """The fifth layout mark of a tape, 5 spaces to 8 ft. Source: framing layout pages."""
    assert inches("19.2") * 5 == feet(8)


@pytest.mark.parametrize(
    ("spacing", "member", "clear"),
    [
        ("12", JOIST, "10 1/2"),
        ("16", JOIST, "14 1/2"),
        ("19.2", JOIST, "17 11/16"),
        ("24", JOIST, "22 1/2"),
        ("16", CHORD, "12 1/2"),
        ("19.2", CHORD, "15 11/16"),
        ("24", CHORD, "20 1/2"),
    ],
)
def test_clear_bays_of_sawn_joists_and_truss_chords(spacing, member, clear):
    """Sawn lumber is 1 1/2 in wide (American Softwood Lumber Standard PS 20, from memory), a flat chord 3 1/2 in."""
    assert sixteenths(clear_bay(inches(spacing), member)) == inches(clear)


@pytest.mark.parametrize(
    ("spacing", "cutout", "travel"),
    [
        ("12", "4 1/4", "2 7/8"),
        ("12", "6 3/8", "1 13/16"),
        ("12", "9 1/4", "3/8"),
        ("16", "4 1/4", "4 7/8"),
        ("16", "6 3/8", "3 13/16"),
        ("16", "9 1/4", "2 3/8"),
        ("19.2", "4 1/4", "6 1/2"),
        ("19.2", "6 3/8", "5 7/16"),
        ("19.2", "9 1/4", "4"),
        ("24", "4 1/4", "8 7/8"),
        ("24", "6 3/8", "7 13/16"),
        ("24", "9 1/4", "6 3/8"),
    ],
)
def test_how_far_a_hole_travels_in_its_bay(spacing, cutout, travel):
    """1 1/2 in joists, half an inch of free material in all: 1/4 in at each side. Common practice, no source."""
    assert sixteenths(free_travel(inches(spacing), JOIST, inches(cutout), QUARTER)) == inches(travel)


def test_with_half_an_inch_free_at_each_side_a_6_3_8_hole_keeps_4_7_16_from_a_joists_center():
    """3 3/16 + 1/2 + 3/4; in 12 in framing that leaves 6 - 4 7/16 either way."""
    assert off_joist(inches("6 3/8"), inches("1/2"), JOIST) == inches("4 7/16")
    assert free_travel(inches(12), JOIST, inches("6 3/8"), inches("1/2")) == inches("1 9/16")


def test_a_speaker_wider_than_its_bay_has_no_travel():
    assert free_travel(inches(12), JOIST, inches("10 1/4"), QUARTER) < inches(0)


def test_four_lights_in_19_ft_over_joists_at_10_in_and_every_16():
    """Worked by hand, common practice, no source. Half gaps put the lights at 28 1/2, 85 1/2, 142 1/2, 199 1/2.

    The outer two are 2 1/2 in from a joist and want 4 7/16. Drawn in 2 in as a pair all four clear; equal gaps of
    5'-1 11/16" from 1'-9 1/2" clear as well; and no shift of all four together, up to 8 in, does.
    """
    pattern = Joists(Axis.DOOR_FAR, inches(16), JOIST, inches(10), Side.LEFT, Datum.EDGE, inches("1/2"))
    size = as_measured(feet(19))
    legal = clear_at(Light(inches("6 3/8")), stand(Overhead((pattern,)), Orientation(Axis.LEFT_RIGHT), size, size))

    def short(*at):
        return [legal.shortfall(inches(each), inches(60)) for each in at]

    half_gaps = ("28 1/2", "85 1/2", "142 1/2", "199 1/2")
    none = inches(0)
    assert short(*half_gaps) == [inches("1 15/16"), none, none, inches("1 15/16")]
    assert short("30 1/2", "85 1/2", "142 1/2", "197 1/2") == [none] * 4
    assert short("21 1/2", "83 3/16", "144 7/8", "206 1/2") == [none] * 4
    for sixteenth in range(-8 * 16, 8 * 16 + 1):
        moved = [inches(each) + inches(Fraction(sixteenth, 16)) for each in half_gaps]
        assert any(legal.shortfall(at, inches(60)) for at in moved)


# --- fans


@pytest.mark.parametrize(
    ("half_angle", "ratio"), [(15, "0.32"), (25, "0.56"), (35, "0.84"), (45, "1.20"), (55, "1.71"), (65, "2.57")]
)
def test_a_light_stands_off_a_fans_blades_as_the_published_ratios_say(half_angle, ratio):
    """Level distance for 1 of drop, with a fifth for safety: the table of a page on fan flicker, as quoted publicly."""
    clear = fan_clear(mm(1000), half_angle, mm(0))
    assert round(clear.mm / 1000, 2) == Fraction(ratio)


def test_the_worked_example_of_that_page():
    """Light 100 mm under the ceiling, blades 350 mm: 250 mm between them at 35 degrees, 0.84 x 250 = 210 mm."""
    assert round(fan_clear(mm(250), 35, mm(0)).mm) == 210


def test_10_in_of_drop_at_50_degrees_reaches_14_3_in_and_the_floor_of_24_in_governs():
    """10 x 1.2 x 1.1918 = 14.30."""
    assert Tape(Style.INCHES, 64).rounded(fan_clear(inches(10), 50, inches(0))) == inches("14 19/64")
    assert fan_clear(inches(10), 50, inches(24)) == inches(24)


def test_a_low_fan_under_a_wide_light_reaches_past_the_floor():
    """24 in of drop at 60 degrees: 24 x 1.2 x 1.7321 = 49.88."""
    assert sixteenths(fan_clear(inches(24), 60, inches(24))) == inches("49 7/8")


# --- the table


@pytest.mark.parametrize(
    ("key", "clear", "fixed"),
    [
        ("smoke_alarm", "12", True),  # light to alarm 1 ft: public pages on alarms
        ("sprinkler", "12", True),  # common practice, no source
        ("register", "12", False),  # common practice, no source
        ("ceiling_fan", "24", False),  # at least 24 in, 600 mm: public pages on fans and lights
        ("closet_storage", "6", True),  # NEC 410.16(C)(3), 150 mm (6 in), as quoted by public pages
        ("gas_vent", "6", True),  # single wall, NFPA 54, as quoted by a gas utility's guide
        ("stove_pipe", "18", True),  # NFPA 211, from memory
        ("shower_zone", "36", True),  # NEC 410.10(D): 3 ft across, as quoted by public pages
        ("beam", "2", True),  # common practice, no source
        ("board_joint", "4", False),  # common practice, no source
    ],
)
def test_the_defaults_are_what_is_published_and_safety_is_fixed(key, clear, fixed):
    row = tables.clearances()[key]
    assert row.clear == inches(clear)
    assert row.fixed is fixed


def test_an_alarms_own_distances_are_said_with_it():
    """36 in from fan tips, registers, kitchen and bath doors. Source: a state's summary of NFPA 72 on public pages."""
    assert "36 in" in tables.clearances()["smoke_alarm"].caution
    assert "licensed" in tables.clearances()["smoke_alarm"].caution


def test_cabinets_say_which_of_two_faces_was_measured():
    face, wall = tables.clearances()["cabinet_face"], tables.clearances()["cabinet_wall"]
    assert wall.clear - face.clear == inches(12)  # an upper cabinet is about a foot deep: common practice, no source
    assert {face.clear_to, wall.clear_to} == {ClearTo.CENTER}


def test_a_shower_keeps_no_recessed_light_away():
    """Recessed lights may stand over it, listed for the place. Source: NEC 410.10(D), as quoted by public pages."""
    assert not tables.clearances()["shower_zone"].keeps_off
    assert [row.key for row in tables.clearances().values() if not row.keeps_off] == ["shower_zone"]


def test_what_is_above_the_drywall_is_met_by_frames_too():
    above = {row.key for row in tables.clearances().values() if row.above}
    assert above == {"duct", "pipe", "gas_vent", "stove_pipe"}


def test_whatever_a_code_speaks_of_is_left_to_local_code():
    for row in tables.clearances().values():
        if any(code in row.source for code in ("NFPA", "NEC")):
            assert row.caution.endswith("Check your edition; local code decides."), row.key
