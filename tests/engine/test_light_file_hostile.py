"""Broken and hostile photometric files: refused with the line, what stands there and what was expected."""

import string

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from layout.engine.light import lm63
from layout.engine.light.tokens import LARGEST
from layout.engine.light.values import LightError
from tests.engine.light_file_texts import FIVES, cosine, text_of

GOOD = text_of(cosine)
LINES = GOOD.splitlines()
LAMP, FACTORS, VERTICAL, HORIZONTAL, CANDELAS = 7, 8, 9, 10, 11  # lines, counted from 1


def with_line(number, line, text=GOOD):
    lines = text.splitlines()
    lines[number - 1] = line
    return "\n".join(lines)


def refusal(text):
    with pytest.raises(lm63.FileError) as refused:
        lm63.read(text)
    error = refused.value
    assert isinstance(error, LightError)
    assert error.field == "file"
    assert error.expected
    assert str(error)
    return error


def test_the_plain_file_is_read():
    assert lm63.read(GOOD).warnings == ()
    assert LINES[LAMP - 1] == "1 -1 1 19 1 1 2 0.15 0.15 0"


@pytest.mark.parametrize("missing", [1, 2, 19])
def test_too_few_candelas_are_refused_with_the_counts_and_never_filled_in(missing):
    values = " ".join(LINES[CANDELAS - 1].split()[:-missing])
    error = refusal(with_line(CANDELAS, values))
    assert "19 x 1 = 19 candelas are 39 numbers" in str(error)
    assert f"{39 - missing} are there" in str(error)
    assert error.line == (CANDELAS if values else HORIZONTAL)


def test_too_many_candelas_are_refused_where_the_first_of_them_stands():
    error = refusal(GOOD + "\n\n7 8\n9\n")
    assert (error.line, error.token) == (14, "7")
    assert "3 numbers too many" in str(error)


def test_thirty_seven_angles_declared_and_thirty_six_there():
    angles = [2.5 * place for place in range(37)]
    error = refusal(with_line(VERTICAL, " ".join(map(str, angles[:-1])), text_of(cosine, vertical=angles)))
    assert "37 vertical and 1 horizontal angles" in str(error)
    assert "75 numbers, and 74 are there" in str(error)


NO_NUMBERS = ["NaN", "nan", "inf", "-Infinity", "1e400", "1_000", "0x10", "12lm", "١٢", "--1", "1e", "."]


@pytest.mark.parametrize("token", NO_NUMBERS)
def test_what_is_no_number_is_pointed_at(token):
    values = LINES[CANDELAS - 1].split()
    error = refusal(with_line(CANDELAS, " ".join([*values[:5], token, *values[6:]])))
    assert (error.line, error.token) == (CANDELAS, token)
    assert error.expected == "19 x 1 = 19 candelas, 0 or more"


def test_a_negative_candela_is_refused():
    error = refusal(with_line(CANDELAS, LINES[CANDELAS - 1].replace("50 ", "-50 ", 1)))
    assert (error.line, error.token) == (CANDELAS, "-50")


@pytest.mark.parametrize(
    ("number", "line", "token"),
    [
        (LAMP, "1 -1 1 19 1 1 2 0,15 0,15 0", "0,15"),
        (FACTORS, "0,9 1 12", "0,9"),
        (CANDELAS, LINES[CANDELAS - 1].replace(".", ","), "99,6195"),
    ],
)
def test_decimals_with_a_comma_are_refused_not_read_as_two_numbers(number, line, token):
    error = refusal(with_line(number, line))
    assert (error.line, error.token) == (number, token)
    assert "write decimals with a point" in str(error)


def test_a_declared_size_is_held_against_the_limit_and_the_file_before_anything_is_made():
    error = refusal(with_line(LAMP, "1 -1 1 1000000000 1 1 2 0 0 0"))
    assert (error.line, error.token) == (LAMP, "1e+09")
    assert "vertical angles, 2 to 1000000" in str(error)
    assert "horizontal angles, 1 to 1000000" in str(refusal(with_line(LAMP, "1 -1 1 2 1e300 1 2 0 0 0")))
    assert "at most 1000000 candelas" in str(refusal(with_line(LAMP, "1 -1 1 1000 1001 1 2 0 0 0")))
    error = refusal(with_line(LAMP, "1 -1 1 1000 1000 1 2 0 0 0"))
    assert "1002000 numbers, and 39 are there" in str(error)


BAD_FIELDS = [
    (LAMP, "0 -1 1 19 1 1 2 0 0 0", "0", "number of lamps"),
    (LAMP, "1.5 -1 1 19 1 1 2 0 0 0", "1.5", "number of lamps"),
    (LAMP, "1 0 1 19 1 1 2 0 0 0", "0", "lumens per lamp"),
    (LAMP, "1 -2 1 19 1 1 2 0 0 0", "-2", "lumens per lamp"),
    (LAMP, "1 -1 0 19 1 1 2 0 0 0", "0", "multiplier"),
    (LAMP, "1 -1 -1 19 1 1 2 0 0 0", "-1", "multiplier"),
    (LAMP, "1 -1 1e6 19 1 1 2 0 0 0", "1e+06", "multiplier"),
    (LAMP, "1 -1 1 1 1 1 2 0 0 0", "1", "number of vertical angles"),
    (LAMP, "1 -1 1 -19 1 1 2 0 0 0", "-19", "number of vertical angles"),
    (LAMP, "1 -1 1 19 0 1 2 0 0 0", "0", "number of horizontal angles"),
    (LAMP, "1 -1 1 19 1 4 2 0 0 0", "4", "photometric type"),
    (LAMP, "1 -1 1 19 1 1 3 0 0 0", "3", "units: 1 for feet or 2 for meters"),
    (LAMP, "1 -1 1 19 1 1 2 150 0 0", "150", "width of the opening"),
    (FACTORS, "0 1 12", "0", "ballast factor"),
    (FACTORS, "50 1 12", "50", "ballast factor"),
    (FACTORS, "1 1 -12", "-12", "input watts"),
    (VERTICAL, " ".join(map(str, (2, *FIVES[1:]))), "2", "vertical angles that begin at 0 or 90"),
    (VERTICAL, " ".join(map(str, (*FIVES[:-1], 89))), "89", "vertical angles that end at 90 or 180"),
    (VERTICAL, " ".join(map(str, (*FIVES[:3], 10, *FIVES[4:]))), "10", "vertical angles that rise"),
    (VERTICAL, " ".join(map(str, (*FIVES[:-1], 270))), "270", "vertical angles from 0 to 180"),
    (HORIZONTAL, "45", "45", "horizontal angles that begin at 0"),
    (HORIZONTAL, "-90", "-90", "horizontal angles from 0 to 360"),
    (CANDELAS, " ".join(["0"] * 19), "0", "largest intensity above 0"),
]


@pytest.mark.parametrize(("number", "line", "token", "expected"), BAD_FIELDS)
def test_each_field_out_of_range_is_named(number, line, token, expected):
    error = refusal(with_line(number, line))
    assert (error.line, error.token) == (number, token)
    assert expected in error.expected


@pytest.mark.parametrize("turn", [(0, 1e-320, 45, 90), (0, 45, 90 - 1e-13, 90), (0, 1e-7, 180), (0, 1e-9, 90, 360)])
def test_planes_that_lie_on_one_another_once_they_are_mirrored_are_refused(turn):
    """180 less 1e-320 is 180 again: the whole turn would have one plane twice."""
    text = text_of(cosine, horizontal=(0, *turn[1:]))
    told = " ".join(map(repr, turn))
    error = refusal(with_line(HORIZONTAL, told, text))
    assert error.line == HORIZONTAL and "rise" in error.expected


@pytest.mark.parametrize(
    ("tilt", "token"),
    [
        ("TILT=INCLUDE\n4\n1\n0\n1", "4"),
        ("TILT=INCLUDE\n1\n1000000000\n0\n1", "1e+09"),
        ("TILT=INCLUDE\n1\n2\n45 0\n1 1", "0"),
        ("TILT=INCLUDE\n1\n2\n0 90\n1 -1", "-1"),
        ("TILT=lamp.tlt", "lamp.tlt"),
        ("TILT=", ""),
    ],
)
def test_tilt_that_says_nothing_usable_is_refused(tilt, token):
    assert refusal(text_of(cosine, tilt=tilt)).token == token


PICTURE = b"\x89PNG\r\n\x1a\n" + bytes(100)


@pytest.mark.parametrize("text", ["", "\n\n", "hello", "IESNA:LM-63-2002\n[TEST] 1\n", PICTURE])
def test_a_file_of_something_else_is_refused(text):
    assert "TILT" in str(refusal(text)) or "no text file" in str(refusal(text))


@pytest.mark.parametrize(
    "text",
    [
        "x" * (LARGEST + 1),
        b"\n" * (LARGEST + 1),
        "\n" * (LARGEST - 1),
        "x" * LARGEST,
        "[A] " * (LARGEST // 4),
        "TILT=NONE\n" + "9" * (LARGEST - 10),
        "TILT=NONE\n" + "1 " * (LARGEST // 2 - 10),
        "TILT=NONE\n" + "1\n" * (LARGEST // 2 - 10),
        "TILT=NONE\n" + "," * (LARGEST - 10),
        GOOD + "8 " * (LARGEST // 2 - 1000),
    ],
)
def test_endless_lines_and_endless_files_are_refused_by_their_size(text):
    assert len(refusal(text).token) <= 41


def test_text_after_the_numbers_is_refused():
    error = refusal(GOOD + "\nEND OF REPORT\n")
    assert (error.line, error.token) == (13, "END")


NUMBERS = GOOD.index("TILT=NONE\n") + len("TILT=NONE\n")
NASTY = st.one_of(
    st.text(alphabet=string.printable, max_size=12),
    st.sampled_from(["NaN", "1e400", "-1", "0", "1e9", "1000000000", ",", "-0", "TILT=x", "[", "é"]),
    st.sampled_from(["\n", "\r", "\t", "\x00", "\x1a", "\x0b", "\u2028", "\xa0"]),
)


@st.composite
def broken(draw):
    """A good file of some edition, cut, doubled or with something else put in, once or a few times."""
    version = draw(st.sampled_from(["", "IESNA91", "IESNA:LM-63-1995", "IESNA:LM-63-2002", "IES:LM-63-2019"]))
    tilt = draw(st.sampled_from(["TILT=NONE", "TILT=INCLUDE\n1\n2\n0 90\n1 0.8"]))
    across = draw(st.sampled_from([(0,), (0, 45, 90), (0, 90, 180), (90, 180, 270), (0, 90, 180, 270, 360)]))
    text = text_of(cosine, version=version, tilt=tilt, horizontal=across)
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        stop = draw(st.integers(start, min(start + 40, len(text))))
        text = text[:start] + draw(NASTY) * draw(st.integers(0, 3)) + text[stop:]
    return text


def holds(text):
    """It is read whole, or refused in words; nothing else comes out."""
    try:
        told = lm63.read(text)
    except lm63.FileError as error:
        assert error.line >= 1
        assert len(error.token) <= 41
        assert error.expected
        return
    light = told.photometry
    assert 0 < light.flux_lm < float("inf")
    assert (light.candela_table >= 0).all()
    assert light.candela_table.shape == (len(light.horizontal_deg), len(light.vertical_deg))
    assert light.vertical_deg[0] in (0, 90)
    assert light.vertical_deg[-1] in (90, 180)


@given(broken())
@example(GOOD + "\n\x00")
@example("TILT=NONE\n1 -1 1 19 1")
@example("TILT=NONE\n1 -1 1 1e300 1e300 1")
def test_no_mutation_of_a_good_file_does_anything_but_be_read_or_be_refused(text):
    holds(text)


@given(st.binary(max_size=400))
def test_no_bytes_do_anything_but_be_refused(data):
    holds(data)
    holds(GOOD.encode()[:NUMBERS] + data)


@given(st.binary(max_size=6), st.integers(0, len(GOOD)))
def test_foreign_bytes_inside_a_good_file_never_crash_the_reader(data, at):
    holds(GOOD.encode()[:at] + data + GOOD.encode()[at:])


@pytest.mark.long
def test_many_mutations():
    """A hundred thousand, the same each time."""
    import random

    source = random.Random(63)
    for _ in range(100_000):
        text = list(GOOD)
        for _ in range(source.randint(1, 6)):
            at = source.randrange(len(text))
            match source.randrange(3):
                case 0:
                    text[at] = source.choice(string.printable)
                case 1:
                    del text[at : at + source.randrange(20)]
                case _:
                    text[at:at] = source.choice(("NaN ", "1e400 ", "-", ",", "\n", "999999999 ", "\t", "."))
        holds("".join(text))
