"""What an LM-63 file tells, edition by edition. Lights are invented; flux is a closed form, pi times a cosine's peak.

A 5 degree table that is linear between its angles has 0.06 % less than the cosine it was taken from (worked by hand:
the integral of the chords), hence the 0.1 % here.
"""

import math

import numpy as np
import pytest

from layout.engine.light import lm63
from tests.engine.light_file_texts import cosine, text_of

WITHIN = 1e-3
FLUX = math.pi * 100


def flux(text):
    return lm63.read(text).photometry.flux_lm


@pytest.mark.parametrize(
    ("version", "edition"),
    [
        ("", "LM-63-1986"),
        ("IESNA91", "LM-63-1991"),
        ("IESNA:LM-63-1995", "LM-63-1995"),
        ("IESNA:LM-63-2002", "LM-63-2002"),
        ("IES:LM-63-2019", "LM-63-2019"),
    ],
)
def test_all_five_editions_are_read_and_named(version, edition):
    told = lm63.read(text_of(cosine, version=version))
    assert told.edition == edition
    assert told.photometry.flux_lm == pytest.approx(FLUX, rel=WITHIN)


def test_an_unknown_edition_is_refused_rather_than_guessed_at():
    with pytest.raises(lm63.FileError, match="edition") as refused:
        lm63.read(text_of(cosine, version="IES:LM-63-2031"))
    assert (refused.value.line, refused.value.token) == (1, "IES:LM-63-2031")


def test_field_12_is_a_factor_to_1991_and_nothing_later():
    """In 2019 it tells how the file was made: 1.1 is no 10 percent."""
    for version, share in (("", 1.1), ("IESNA91", 1.1), ("IESNA:LM-63-1995", 1), ("IES:LM-63-2019", 1)):
        assert flux(text_of(cosine, version=version, factors="1 1.10000")) == pytest.approx(share * FLUX, rel=WITHIN)
    assert lm63.read(text_of(cosine, version="IES:LM-63-2019", factors="1 1.10000")).field_12 == 1.1


def test_multiplier_and_ballast_factor_are_in_every_candela():
    told = lm63.read(text_of(cosine, multiplier=2.5, factors="0.9 1"))
    assert told.photometry.candela(np.array([0.0])) == pytest.approx([225])
    assert told.photometry.flux_lm == pytest.approx(2.25 * FLUX, rel=WITHIN)


def test_absolute_photometry_has_no_rated_lumens_and_its_flux_is_what_the_candelas_add_up_to():
    told = lm63.read(text_of(cosine, lumens=-1))
    assert told.absolute
    assert told.lumens_per_lamp is None
    assert told.output_ratio is None
    assert told.photometry.flux_lm == pytest.approx(FLUX, rel=WITHIN)


def test_rated_lumens_of_the_lamps_change_no_candela():
    told = lm63.read(text_of(cosine, lamps=2, lumens=200))
    assert told.photometry.flux_lm == pytest.approx(FLUX, rel=WITHIN)
    assert told.output_ratio == pytest.approx(FLUX / 400, rel=WITHIN)
    assert told.warnings == ()


def test_more_light_than_the_lamps_give_is_said_and_read_all_the_same():
    told = lm63.read(text_of(cosine, lumens=200))
    assert told.photometry.flux_lm == pytest.approx(FLUX, rel=WITHIN)
    assert "more than the 200 lm of the lamps" in told.warnings[0]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("gap", [" ", ",", ", ", "\t", "  \t "])
def test_numbers_are_parted_by_blanks_tabs_or_commas_and_lines_end_in_any_way(gap, end):
    head, numbers = text_of(cosine).split("TILT=NONE\n")
    text = f"{head}TILT=NONE\n{numbers.replace(' ', gap)}".replace("\n", end)
    assert flux(text) == pytest.approx(FLUX, rel=WITHIN)
    assert flux(text.encode()) == pytest.approx(FLUX, rel=WITHIN)


@pytest.mark.parametrize("width", [1, 2, 3, 7, 50])
def test_records_may_be_broken_anywhere(width):
    """All numbers after TILT are one stream; a line of thirteen, or one number to a line, is the same file."""
    head, numbers = text_of(cosine).split("TILT=NONE\n")
    numbers = numbers.split()
    lines = (" ".join(numbers[place : place + width]) for place in range(0, len(numbers), width))
    assert flux(f"{head}TILT=NONE\n" + "\n".join(lines)) == pytest.approx(FLUX, rel=WITHIN)


def test_a_byte_order_mark_and_other_encodings_are_no_hindrance():
    text = text_of(cosine, keywords="[TEST] 1\n[MANUFAC] Lämpchen\n")
    for encoded in (text.encode("utf-8-sig"), text.encode("latin-1"), text.encode("utf-16"), text.encode()):
        assert lm63.read(encoded).keywords["MANUFAC"] == "Lämpchen"
    assert lm63.read("\ufeff" + text).edition == "LM-63-2002"


def test_an_old_end_of_file_mark_and_blank_lines_at_the_end_are_blank():
    assert flux(text_of(cosine) + "\n \r\n\t\n\x1a") == pytest.approx(FLUX, rel=WITHIN)


def test_keywords_are_kept_known_or_not_and_go_on_with_more():
    told = lm63.read(
        text_of(
            cosine,
            keywords="[test] 7\n[TESTLAB] none\n[ISSUEDATE] today\n[MANUFAC]none\n[LUMINAIRE] A can\n[MORE] in white\n"
            "[_OURS] x ] y\n[OTHER] one\n[OTHER] two\na line of no key\n",
        )
    )
    assert dict(told.keywords) == {
        "TEST": "7",
        "TESTLAB": "none",
        "ISSUEDATE": "today",
        "MANUFAC": "none",
        "LUMINAIRE": "A can in white",
        "_OURS": "x ] y",
        "OTHER": "one\ntwo",
    }
    assert told.labels == ("a line of no key",)
    assert told.warnings == ()


def test_what_an_edition_asks_for_and_the_file_leaves_out_is_said():
    told = lm63.read(text_of(cosine, keywords="[TEST] 1\n"))
    assert told.warnings == ("The file leaves out what its edition asks for: TESTLAB, ISSUEDATE, MANUFAC.",)
    assert lm63.read(text_of(cosine, version="", keywords="Some light\n")).warnings == ()


def test_a_file_in_watts_per_steradian_is_pointed_out():
    told = lm63.read(text_of(cosine, keywords="[TEST] 1\n[TESTLAB] n\n[ISSUEDATE] n\n[MANUFAC] n\n[OTHER] in mW/sr\n"))
    assert "watts per steradian" in told.warnings[0]


def test_tilt_data_in_the_file_is_kept_and_its_candelas_stay_those_of_the_tested_position():
    told = lm63.read(text_of(cosine, tilt="TILT=INCLUDE\n1\n3\n0 45 90\n1 0.9 0.8"))
    assert told.photometry.flux_lm == pytest.approx(FLUX, rel=WITHIN)
    assert [told.tilt.factor_at(angle) for angle in (0, 30, 45, 90, 120, -45)] == pytest.approx(
        [1, 1 - 0.1 * 30 / 45, 0.9, 0.8, 0.8, 0.9]
    )


def test_a_lamp_that_stays_level_is_not_dimmed_by_tilting_the_light():
    told = lm63.read(text_of(cosine, tilt="TILT = include\n2 3 0 45 90 1 0.9 0.8"))
    assert told.tilt.factor_at(45) == 1


def test_tilt_data_in_another_file_is_never_looked_for():
    with pytest.raises(lm63.FileError, match=r"Include the tilt data in this one") as refused:
        lm63.read(text_of(cosine, tilt="TILT=../../etc/passwd"))
    assert (refused.value.line, refused.value.token) == (6, "../../etc/passwd")


def lopsided(vertical, horizontal):
    """Alike to both sides of the 0-180 plane: brightest toward 0, half as bright toward 180. Mean 150 at the axis."""
    folded = horizontal if horizontal <= 180 else 360 - horizontal
    return cosine(vertical) * (2 - folded / 180)


def test_a_file_of_half_a_turn_is_mirrored_about_the_0_180_plane():
    told = lm63.read(text_of(lopsided, horizontal=(0, 45, 90, 135, 180)))
    down = np.full(4, 30.0)
    assert told.photometry.candela(down, np.array([20.0, 340.0, 200.0, 160.0])) == pytest.approx(
        [lopsided(30, h) for h in (20, 340, 200, 160)], rel=1e-4
    )
    assert told.photometry.flux_lm == pytest.approx(1.5 * FLUX, rel=WITHIN)
    assert told.symmetry == "mirrored about the 0-180 plane"


def test_a_file_of_a_quarter_turn_is_the_same_in_four_quadrants():
    def crosswise(vertical, horizontal):
        return cosine(vertical) * (1 + horizontal / 90)

    told = lm63.read(text_of(crosswise, horizontal=(0, 30, 60, 90)))
    around = np.array([40.0, 140.0, 220.0, 320.0, -40.0, 400.0])
    assert told.photometry.candela(np.zeros(6), around) == pytest.approx(np.full(6, 100 * (1 + 40 / 90)), rel=1e-4)
    assert told.photometry.flux_lm == pytest.approx(1.5 * FLUX, rel=WITHIN)


def sideways(vertical, horizontal):
    """Alike to both sides of the 90-270 plane: brightest toward 90, half as bright toward 270."""
    return lopsided(vertical, (horizontal - 90) % 360)


@pytest.mark.parametrize("horizontal", [(90, 135, 180, 225, 270), (90, 120, 150, 200, 270)])
def test_a_file_of_1995_from_90_to_270_is_mirrored_about_that_plane_not_turned(horizontal):
    told = lm63.read(text_of(sideways, version="IESNA:LM-63-1995", horizontal=horizontal))
    around = np.array([90.0, 10.0, 170.0, 350.0, 190.0, 270.0])
    expected = [sideways(30, h) for h in around]
    assert told.photometry.candela(np.full(6, 30.0), around) == pytest.approx(expected, rel=1e-4)
    assert told.photometry.flux_lm == pytest.approx(1.5 * FLUX, rel=WITHIN)
    with pytest.raises(lm63.FileError, match="begin at 0"):
        lm63.read(text_of(sideways, version="IESNA:LM-63-2002", horizontal=horizontal))


def test_a_full_turn_has_no_symmetry_and_to_1995_may_leave_out_its_last_plane():
    whole = lm63.read(text_of(sideways, horizontal=range(0, 361, 45)))
    short = lm63.read(text_of(sideways, version="IESNA:LM-63-1995", horizontal=range(0, 316, 45)))
    around = np.array([0.0, 100.0, 330.0, 359.0])
    for told in (whole, short):
        assert told.photometry.candela(np.zeros(4), around) == pytest.approx(
            [sideways(0, h) for h in around], rel=1e-4
        )
        assert told.photometry.flux_lm == pytest.approx(1.5 * FLUX, rel=WITHIN)
        assert told.symmetry == "no symmetry"
    with pytest.raises(lm63.FileError, match="end at 0, 90, 180 or 360"):
        lm63.read(text_of(sideways, horizontal=range(0, 316, 45)))


def test_a_plane_told_at_0_and_again_at_360_is_one_plane():
    told = lm63.read(text_of(lambda v, h: 100 + h / 3.6, horizontal=range(0, 361, 90)))
    assert told.photometry.candela(np.array([0.0, 0.0]), np.array([0.0, 360.0])) == pytest.approx([150, 150])
    assert "Their mean is used" in told.warnings[-1]
    same = lm63.read(text_of(lambda v, h: 100 + h % 360 / 3.6, horizontal=range(0, 361, 90)))
    assert same.warnings == ()


@pytest.mark.parametrize("last", [45, 120, 181, 270])
def test_a_turn_that_stops_anywhere_else_is_refused(last):
    for version in ("IESNA:LM-63-1995", "IES:LM-63-2019"):
        with pytest.raises(lm63.FileError, match="horizontal angles that end at") as refused:
            lm63.read(text_of(cosine, version=version, horizontal=(0, last)))
        assert refused.value.token == f"{last}"


def test_an_uplight_gives_nothing_down_and_a_downlight_nothing_up():
    up = lm63.read(text_of(lambda v, h: cosine(180 - v), vertical=range(90, 181, 5))).photometry
    assert up.flux_lm == pytest.approx(FLUX, rel=WITHIN)
    assert up.candela(np.array([0.0, 60.0, 120.0, 180.0])) == pytest.approx([0, 0, 50, 100], abs=1e-4)
    down = lm63.read(text_of(lambda v, h: 100)).photometry
    assert down.candela(np.array([89.9, 90.0, 90.1, 180.0])) == pytest.approx([100, 100, 0, 0])


@pytest.mark.parametrize(("kind", "letter"), [(2, "B"), (3, "A")])
def test_types_a_and_b_are_refused_by_name_never_read_as_c(kind, letter):
    with pytest.raises(lm63.FileError, match=f"not supported: type {letter} photometry"):
        lm63.read(text_of(cosine, kind=kind))


SHAPES = [
    # Published table of the shapes of LM-63-1995, seen: signs of width, length, height in meters.
    (1995, "0 0 0", "point", (0, 0, 0, False)),
    (1995, "0.3 0.6 0", "rectangle", (0.3, 0.6, 0, False)),
    (1995, "0.3 0.6 0.1", "box", (0.3, 0.6, 0.1, False)),
    (1995, "-0.12 0 0", "circle", (0.12, 0.12, 0, True)),
    (1995, "-0.12 0 -0.12", "sphere", (0.12, 0.12, 0.12, True)),
    (1995, "-0.12 0 0.3", "upright cylinder", (0.12, 0.12, 0.3, True)),
    (1995, "0 1.2 -0.04", "cylinder lying along the 0-180 plane", (0.04, 1.2, 0.04, False)),
    (1995, "1.2 0 -0.04", "cylinder lying across the 0-180 plane", (1.2, 0.04, 0.04, False)),
    (1995, "-0.1 0.2 0.3", "ellipse", (0.1, 0.2, 0.3, True)),
    (1995, "0.2 -0.1 0.3", "ellipse", (0.2, 0.1, 0.3, True)),
    (1995, "-0.1 0.2 -0.3", "ellipsoid", (0.1, 0.2, 0.3, True)),
    # Signs of the later editions' table, seen in an open reader's documentation.
    (2002, "-0.12 -0.12 0", "circle", (0.12, 0.12, 0, True)),
    (2002, "-0.1 -0.2 0", "ellipse", (0.1, 0.2, 0, True)),
    (2002, "-0.12 -0.12 0.3", "upright cylinder", (0.12, 0.12, 0.3, True)),
    (2019, "-0.1 -0.2 -0.3", "ellipsoid", (0.1, 0.2, 0.3, True)),
    (2019, "-0.04 1.2 -0.04", "cylinder lying along the 0-180 plane", (0.04, 1.2, 0.04, False)),
    (2019, "1.2 -0.04 -0.04", "cylinder lying across the 0-180 plane", (1.2, 0.04, 0.04, False)),
    (2019, "-0.3 0 -0.3", "upright circle", (0.3, 0, 0.3, False)),
    # Written the old way under a later edition's name: common practice, no source.
    (2002, "-0.12 0 0", "circle", (0.12, 0.12, 0, True)),
]


@pytest.mark.parametrize(("year", "signs", "shape", "size"), SHAPES)
def test_the_signs_of_the_opening_say_its_shape(year, signs, shape, size):
    version = f"{'IES' if year == 2019 else 'IESNA'}:LM-63-{year}"
    told = lm63.read(text_of(cosine, version=version, opening=signs))
    opening = told.photometry.opening
    assert told.shape == shape
    assert (opening.width, opening.length, opening.height, opening.round) == pytest.approx(size)


def test_units_are_those_of_the_opening_only():
    feet = lm63.read(text_of(cosine, units=1, opening="0.5 1 0"))
    assert (feet.units, feet.photometry.opening.width, feet.photometry.opening.length) == ("feet", 0.1524, 0.3048)
    assert feet.photometry.flux_lm == pytest.approx(FLUX, rel=WITHIN)


def test_watts_are_told_and_none_is_not_zero():
    assert lm63.read(text_of(cosine, watts=12.5)).photometry.watts == 12.5
    assert lm63.read(text_of(cosine, watts=0)).photometry.watts is None
