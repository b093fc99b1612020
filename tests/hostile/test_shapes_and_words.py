"""Rows 9 to 24, 64 and 66: shapes and words that are meant to break a reader, a page or a drawing."""

import io
import random
import re
import unicodedata
import xml.dom.minidom

import ezdxf
import pytest
from django.core.exceptions import ValidationError
from django.template import Context, Template
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.ceiling import Corner
from layout.engine.lengths import LengthError, Style, Unit, inches, nanometers
from layout.engine.reading import AmbiguousLength, read_length
from layout.engine.shape import outline as o
from layout.engine.shape.outline import outline_of
from layout.exports.dxf import plain
from projects.platform.names import clean_name, clean_note


def read(text):
    return read_length(text, unit=Unit.INCH, style=Style.FEET_INCHES)


# Lengths


@pytest.mark.parametrize("text", ["１２′ ６″", "１２ ft ６ in"])
def test_row_09_full_width_digits_are_read_as_the_digits_they_are(text):
    assert read(text) == inches(150)


@pytest.mark.parametrize("text", ["1_000", "١٢", "१२", "12²", "Ⅻ", "𝟙𝟚", "1e2", "0x10", "1,000.5.5", "--1", "+-1"])
def test_row_09_other_digits_and_marks_are_refused(text):
    with pytest.raises(LengthError):
        read(text)


PIECES = ["1 ", "1 1/", "'", '"', "1'", "-", "1-", "½", "1/2 ", "(", " ", "9", "1.", ",", "ft", "''"]


@pytest.mark.parametrize("piece", PIECES)
def test_row_64_a_length_of_the_longest_text_is_read_or_refused_and_a_longer_one_is_not_looked_at(piece):
    for text in (piece * 64, (piece * 64)[:64], (piece * 64)[:64] + "/"):
        try:
            read(text)
        except AmbiguousLength as asked:
            assert len(text) <= 64 and len(asked.readings) < 5
        except LengthError as refused:
            assert len(text) <= 64 or "64 characters" in str(refused)


def test_row_64_no_pattern_of_the_reader_can_go_back_over_what_it_read():
    """Every alternative is one run of a kind that no other takes: reading is one pass whatever is typed."""
    from layout.engine import reading

    patterns = [value for value in vars(reading).values() if isinstance(value, re.Pattern)]
    assert patterns
    for pattern in patterns:
        assert not re.search(r"[+*][^|\])]*[+*]\)?[+*]", pattern.pattern), "a run of runs"


# Shapes


def scribble(count, seed=1):
    some = random.Random(seed)
    return [Corner(inches(some.randrange(0, 2400)), inches(some.randrange(0, 2400))) for _ in range(count)]


@pytest.mark.parametrize("count", [5, 60, 500])
def test_row_14_a_scribble_is_refused_by_where_it_crosses_and_never_mended(count):
    with pytest.raises(o.CrossesItself) as refused:
        outline_of(scribble(count))
    assert 1 <= refused.value.first < refused.value.second <= count


@pytest.mark.parametrize("count", [501, 1_000, 100_000])
def test_row_15_more_corners_than_a_ceiling_has_are_counted_and_not_looked_at(count):
    corner = Corner(inches(1), inches(1))
    with pytest.raises(o.TooManyCorners, match=str(count)):
        outline_of([corner] * count)


def test_row_13_a_bow_tie_has_no_area_and_is_not_taken_for_a_ceiling_of_none():
    """Its halves are equal and turn opposite ways: the surveyor's sum is 0, which looks like a number."""
    points = [(0, 0), (120, 120), (120, 0), (0, 120)]
    assert sum(x * v - u * y for (x, y), (u, v) in zip(points, points[1:] + points[:1], strict=True)) == 0
    with pytest.raises(o.CrossesItself, match="Edges 1 and 3"):
        outline_of([Corner(inches(x), inches(y)) for x, y in points])


@pytest.mark.parametrize("away", [1, inches(1).nm // 64])
def test_row_16_corners_almost_on_one_line_are_an_outline_exactly_or_not_at_all(away):
    sliver = [Corner(inches(0), inches(0)), Corner(inches(120), inches(0)), Corner(inches(60), nanometers(away))]
    assert outline_of(sliver).area_nm2 == inches(60).nm * away
    with pytest.raises(o.OutlineError):
        outline_of([*sliver[:2], Corner(inches(60), inches(0))])


# Names


SEEN = ["Den 😀", "Büro", "غرفة", "חדר", "主卧室", "Ванная", "José's den", "क्षेत्र", "👨\u200d👩\u200d👧", "a" * 120]


@pytest.mark.parametrize("name", SEEN)
def test_row_24_a_name_in_any_writing_is_kept_as_it_is(name):
    assert clean_name(name) == name


HIDES = {"Cc", "Cf", "Cs", "Co"}
HIDDEN = [
    "\u202e", "\u2066", "\u2069", "\u200b", "\ufeff", "\u00ad", "\0", "\x1b[31m", "\x07", "\ud800", "\ue000", "\r\n",
    "\u2060",
]  # fmt: skip


@pytest.mark.parametrize("char", HIDDEN, ids=ascii)
@pytest.mark.parametrize("place", ["{}Den", "De{}n", "Den{}"])
def test_row_22_a_letter_nobody_sees_is_refused_by_its_code(place, char):
    for clean in (clean_name, clean_note) if not char.isspace() else (clean_name,):
        with pytest.raises(ValidationError) as refused:
            clean(place.format(char))
        assert "hidden character (U+" in refused.value.messages[0]


@pytest.mark.parametrize("name", ["", " ", "\u3000", "\u00a0\u2003", "\u200d", "\u200c\u200d"], ids=ascii)
def test_row_24_a_name_of_nothing_that_is_seen_is_refused(name):
    with pytest.raises(ValidationError):
        clean_name(name)


def test_row_22_four_accents_on_a_letter_are_writing_and_five_hundred_are_not():
    assert clean_name("q" + "\u0323\u0301\u0302\u0303")
    for clean in (clean_name, clean_note):
        with pytest.raises(ValidationError, match="Too many accents"):
            clean("q" + "\u0301" * 500)


MARKUP = [
    "<svg onload=alert(1)>", '"><script>x</script>', "{{7*7}}", "{% debug %}", "${7*7}", "javascript:alert(1)", "]]>",
    "&lt;",
]  # fmt: skip


@pytest.mark.parametrize("name", MARKUP)
def test_row_21_markup_in_a_name_is_text_on_a_page_and_in_data_for_a_script(name):
    page = Template('<p title="{{ name }}">{{ name }}</p>{{ name|json_script:"told" }}')
    said = page.render(Context({"name": clean_name(name)}))
    assert "<svg" not in said and said.count("<script") == 1
    paragraph = said.split("<script")[0]
    assert xml.dom.minidom.parseString(paragraph).documentElement.firstChild.data == name


DRAWN = ["Den\n0\nEOF", "../layer", "%%u", "\\P{\\H99x;big}", "^I", "a\r\n  0\r\nSECTION", "\0"]


@pytest.mark.parametrize("name", DRAWN, ids=ascii)
def test_row_66_a_name_in_a_drawing_is_one_line_of_text(name):
    said = plain(name)
    assert "\n" not in said and "\r" not in said and "%%" not in said
    drawing = ezdxf.new("R2010")
    drawing.modelspace().add_text(said, dxfattribs={"layer": "Text"})
    drawing.modelspace().add_circle((1, 2), 3)
    out = io.StringIO()
    drawing.write(out)
    [text, circle] = list(ezdxf.read(io.StringIO(out.getvalue())).modelspace())
    assert (text.dxf.text, text.dxf.layer) == (said, "Text")
    assert (tuple(circle.dxf.center)[:2], circle.dxf.radius) == ((1, 2), 3)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=80))
def test_row_24_any_text_is_a_name_or_refused_in_words_and_a_name_stays_what_it_is(text):
    try:
        kept = clean_name(text)
    except ValidationError as refused:
        assert refused.messages[0]
    else:
        assert clean_name(kept) == kept == " ".join(kept.split()) != ""
        assert not {unicodedata.category(char) for char in kept.replace("\u200d", "").replace("\u200c", "")} & HIDES
