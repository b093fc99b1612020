"""What a EULUMDAT file tells. Lights are invented; intensities are per 1000 lm, flux is a closed form."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.light import eulumdat, files, lm63
from tests.engine.light_file_texts import cosine, eulumdat_of, text_of

WITHIN = 1e-3
FLUX = math.pi * 100  # of 100 cd times a cosine
TURN = tuple(range(0, 360, 30))
LUMEN_LINE, VALUES_FROM = 29, 44  # of a file with one set, one plane: ten ratios from 33, its plane on 43


def with_line(number, line, text=None):
    lines = (text or eulumdat_of(cosine)).split("\r\n")
    lines[number - 1] = line
    return "\r\n".join(lines)


def refusal(text):
    with pytest.raises(lm63.FileError) as refused:
        files.read(text)
    return refused.value


def test_intensities_are_per_thousand_lumens_of_the_lamps():
    told = eulumdat.read(eulumdat_of(cosine, lumens=2500))
    assert told.photometry.candela(np.array([0.0, 60.0])) == pytest.approx([250, 125])
    assert told.photometry.flux_lm == pytest.approx(2.5 * FLUX, rel=WITHIN)
    assert (told.edition, told.lamps, told.lumens_per_lamp, told.absolute) == ("EULUMDAT", 1, 2500, False)
    assert told.output_ratio == pytest.approx(FLUX / 1000, rel=WITHIN)
    assert (told.keywords["LUMINAIRE"], told.keywords["LAMP"], told.photometry.watts) == ("A light", "LED 1", 12)


def test_lumens_are_those_of_all_lamps_of_the_set():
    told = eulumdat.read(eulumdat_of(cosine, lamps=4, lumens=2500))
    assert told.lumens_per_lamp == 625
    assert told.photometry.flux_lm == pytest.approx(2.5 * FLUX, rel=WITHIN)


def test_a_negative_number_of_lamps_is_absolute_photometry():
    told = eulumdat.read(eulumdat_of(cosine, lamps=-1, lumens=314))
    assert (told.absolute, told.lumens_per_lamp) == (True, None)
    assert told.photometry.flux_lm == pytest.approx(0.314 * FLUX, rel=WITHIN)


def test_the_conversion_factor_is_in_every_candela_and_none_is_one():
    assert eulumdat.read(eulumdat_of(cosine, conversion=0.5)).photometry.flux_lm == pytest.approx(FLUX / 2, rel=WITHIN)
    for none in ("", "0"):
        assert eulumdat.read(with_line(24, none)).photometry.flux_lm == pytest.approx(FLUX, rel=WITHIN)


def lopsided(vertical, horizontal):
    """Brightest toward 0, half as bright toward 180, the same on both sides of that plane."""
    folded = horizontal if horizontal <= 180 else 360 - horizontal
    return cosine(vertical) * (2 - folded / 180)


def sideways(vertical, horizontal):
    """Brightest toward 90, half as bright toward 270."""
    return lopsided(vertical, (horizontal - 90) % 360)


def crosswise(vertical, horizontal):
    """Twice as bright toward 90 and 270 as toward 0 and 180."""
    return cosine(vertical) * (1 + (90 - abs(horizontal % 180 - 90)) / 90)


CASES = [
    (0, TURN, sideways, "no symmetry"),
    (2, range(0, 181, 30), lopsided, "mirrored about the 0-180 plane"),
    (3, (*range(270, 360, 30), *range(0, 91, 30)), sideways, "mirrored about the 90-270 plane"),
    (4, range(0, 91, 30), crosswise, "alike in four quadrants"),
]


@pytest.mark.parametrize(("symmetry", "stored", "light", "words"), CASES)
def test_each_symmetry_unfolds_to_the_whole_turn(symmetry, stored, light, words):
    told = eulumdat.read(eulumdat_of(light, symmetry=symmetry, planes=TURN, stored=stored))
    around = np.array([0.0, 10.0, 90.0, 100.0, 185.0, 270.0, 290.0, 359.0])
    expected = [light(30, h) for h in around]
    assert told.photometry.candela(np.full(8, 30.0), around) == pytest.approx(expected, rel=1e-4)
    assert told.photometry.flux_lm == pytest.approx(1.5 * FLUX, rel=WITHIN)
    assert told.symmetry == words


def test_a_light_the_same_all_round_stores_one_plane_of_any_number():
    told = eulumdat.read(eulumdat_of(cosine, planes=TURN, stored=(0,)))
    assert told.photometry.axial
    assert told.photometry.flux_lm == pytest.approx(FLUX, rel=WITHIN)


def test_a_comma_is_a_decimal_mark_where_each_line_is_one_number():
    text = eulumdat_of(cosine)
    assert eulumdat.read(text.replace(".", ",")).photometry.flux_lm == eulumdat.read(text).photometry.flux_lm


@pytest.mark.parametrize(
    ("area", "heights", "shape", "size"),
    [
        ((0, 0), (0, 0, 0, 0), "point", (0, 0, 0, False)),
        ((150, 0), (0, 0, 0, 0), "circle", (0.15, 0.15, 0, True)),
        ((150, 0), (30, 30, 30, 30), "upright cylinder", (0.15, 0.15, 0.03, True)),
        # The length lies along C90-C270: the width of an opening here.
        ((1200, 300), (0, 0, 0, 0), "rectangle", (1.2, 0.3, 0, False)),
        ((1200, 300), (0, 50, 0, 50), "box", (1.2, 0.3, 0.05, False)),
    ],
)
def test_the_luminous_area_in_millimeters_is_the_opening(area, heights, shape, size):
    told = eulumdat.read(eulumdat_of(cosine, area=area, heights=heights))
    opening = told.photometry.opening
    assert told.shape == shape
    assert (opening.width, opening.length, opening.height, opening.round) == pytest.approx(size)


def test_what_a_person_should_know_is_said():
    told = eulumdat.read(eulumdat_of(cosine, output=90, tilt=15, sets=2))
    assert [text.split(".")[0] for text in told.warnings] == [
        "The intensities add up to 314 lm; the file tells 900 lm",
        "The file has 2 sets of lamps",
        "The light was tilted 15° when it was measured",
    ]
    assert told.photometry.flux_lm == pytest.approx(FLUX, rel=WITHIN)
    assert eulumdat.read(eulumdat_of(cosine, output=31.4)).warnings == ()


def test_a_file_is_read_by_what_is_in_it():
    assert files.read(eulumdat_of(cosine)).edition == "EULUMDAT"
    assert files.read(eulumdat_of(cosine).encode("latin-1")).edition == "EULUMDAT"
    assert files.read(text_of(cosine)).edition == "LM-63-2002"
    assert files.read(text_of(cosine, version="", keywords="A light\n1\n1\n1\n0\n19\n0\n")).edition == "LM-63-1986"


@pytest.mark.parametrize(
    ("number", "line", "expected"),
    [
        (4, "0", "number of C planes"),
        (4, "2", "2 C angles"),
        (6, "1", "number of intensities"),
        (6, "20", "20 vertical angles"),
        (6, "1000000000", "number of intensities"),
        (17, "-5", "luminous area"),
        (24, "-1", "conversion factor"),
        (26, "0", "number of lamp sets"),
        (26, "one", "number of lamp sets"),
        (27, "0", "number of lamps"),
        (LUMEN_LINE, "0", "total lumens"),
        (LUMEN_LINE, "NaN", "total lumens"),
        (LUMEN_LINE, "1 000", "total lumens"),
        (32, "-3", "watts"),
        (43, "15", "the C plane in this place of 1"),
        (VALUES_FROM, "1", "begin at 0 or 90"),
        (VALUES_FROM + 1, "0", "vertical angles that rise"),
        (VALUES_FROM + 19, "-1", "19 intensities, 0 or more"),
        (VALUES_FROM + 20, "1e400", "19 intensities, 0 or more"),
        (VALUES_FROM + 38, "7", "the end of the file"),
    ],
)
def test_each_broken_line_is_named(number, line, expected):
    error = refusal(with_line(number, line))
    assert expected in error.expected
    assert error.line >= number or number == 6


@pytest.mark.parametrize(("symmetry", "count"), [(2, 3), (3, 6), (4, 6)])
def test_planes_that_a_symmetry_cannot_fold_are_refused(symmetry, count):
    planes = tuple(360 * place / count for place in range(count))
    assert "divides" in refusal(eulumdat_of(cosine, symmetry=symmetry, planes=planes)).expected


def test_a_plane_that_is_not_where_the_symmetry_needs_it_is_refused():
    planes = (0, 80, 180, 270)
    error = refusal(eulumdat_of(cosine, symmetry=4, planes=planes, stored=(0, 80)))
    assert "90, the C plane in this place of 4" in error.expected


GOOD = eulumdat_of(crosswise, symmetry=4, planes=TURN, stored=range(0, 91, 30))


@given(st.lists(st.tuples(st.integers(0, len(GOOD)), st.integers(0, 30), st.text(max_size=8)), min_size=1, max_size=4))
def test_no_mutation_does_anything_but_be_read_or_be_refused(changes):
    text = GOOD
    for at, cut, put in changes:
        text = text[:at] + put + text[at + cut :]
    for read in (eulumdat.read, files.read):
        try:
            light = read(text).photometry
        except lm63.FileError as error:
            assert error.line >= 1
            assert error.expected
        else:
            assert 0 < light.flux_lm < math.inf
