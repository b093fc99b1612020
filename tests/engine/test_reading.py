"""What people write on a sketch is read exactly, or asked about, or refused with a remedy."""

from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from layout.engine.lengths import Length, LengthError, Style, Tape, Unit, feet, inches, mm, nanometers
from layout.engine.reading import AmbiguousLength, Reading, read_length

FEET_INCHES = (Unit.INCH, Style.FEET_INCHES)
INCHES = (Unit.INCH, Style.INCHES)
METRIC = (Unit.MM, Style.MM)
SHOPS = (FEET_INCHES, INCHES, METRIC)


def read(text: str, shop: tuple[Unit, Style] = INCHES) -> Length:
    return read_length(text, unit=shop[0], style=shop[1])


def readings(text: str, shop: tuple[Unit, Style]) -> tuple[Reading, ...]:
    with pytest.raises(AmbiguousLength) as asked:
        read(text, shop)
    return asked.value.readings


@pytest.mark.parametrize("shop", SHOPS)
@pytest.mark.parametrize(
    "text",
    [
        "12' 6 1/2\"",
        "12'-6 1/2\"",
        "12' - 6 1/2\"",
        "12'-6-1/2\"",
        "12'6 1/2",
        "12-6-1/2",
        "12-6 1/2",
        "12 ft 6.5 in",
        "12ft. 6.5in.",
        "12 feet 6 1/2 inches",
        "12 FT 6 1/2 IN",
        "12′ 6½″",
        "12’ 6½”",
        "12' 6½''",
        "12\u00a0ft\u20096½\u00a0in",
        "１２' 6 1/2\"",
        "12' 6 32/64\"",
        '150 1/2"',
        '150-1/2"',
        '150½"',
        "150.5 in",
        "3822.7 mm",
        "382.27 cm",
        "3.8227 m",
        "3,8227 m",
    ],
)
def test_one_length_is_read_from_every_way_people_write_it(text: str, shop: tuple[Unit, Style]) -> None:
    """150 1/2 in = 12 ft 6 1/2 in = 3822.7 mm, by hand: 150.5 x 25.4."""
    assert read(text, shop) == nanometers(3_822_700_000)


def test_a_bare_number_means_the_shops_unit() -> None:
    assert read("148", INCHES) == inches(148)
    assert read("148", FEET_INCHES) == inches(148)
    assert read("3840", METRIC) == mm(3840)


@pytest.mark.parametrize("text", ["148 1/2", "148-1/2", "148.5", "148½"])
def test_a_bare_fraction_over_sixty_is_inches_in_either_inch_style(text: str) -> None:
    assert read(text, INCHES) == read(text, FEET_INCHES) == inches("148 1/2")


@pytest.mark.parametrize(
    ("text", "length"),
    [
        ("12'3", inches(147)),
        ("12'", feet(12)),
        ("12'-0\"", feet(12)),
        ("12 1/2 ft", inches(150)),
        ("12.5 ft", inches(150)),
        ("1/3 ft", inches(4)),
        ("12-6\"", inches(150)),
        ("12-6.5 in", inches("150.5")),
        ("1/64", inches("1/64")),
        (".5", inches("1/2")),
        ("0' 0 1/2\"", inches("1/2")),
        ("3.84 m", mm(3840)),
        ("384 cm", mm(3840)),
        ("3,81 m", mm(3810)),
        ("0,610 m", mm(610)),
        ("0.001 mm", nanometers(1000)),
    ],
)
def test_other_ways_of_writing(text: str, length: Length) -> None:
    assert read(text, INCHES) == length


def test_a_dash_between_two_whole_numbers_parts_feet_from_inches_where_feet_are_written() -> None:
    assert read("12-6", FEET_INCHES) == inches(150)
    assert [one.length for one in readings("12-6", INCHES)] == [inches(150), inches("12 3/8")]


def test_a_dash_before_a_fraction_belongs_to_the_inches() -> None:
    """2-7/8 is how every layer's thickness is written; 12-1/2 on a feet-and-inches sketch may be 12 ft 0 1/2 in."""
    assert read("2-7/8", FEET_INCHES) == inches("2 7/8")
    assert read("12-1/2", INCHES) == inches("12 1/2")
    assert [one.length for one in readings("12-1/2", FEET_INCHES)] == [inches("12 1/2"), inches("144 1/2")]


@pytest.mark.parametrize("text", ["12.6", "12.06"])
def test_a_bare_decimal_in_a_feet_and_inches_shop_is_asked_about(text: str) -> None:
    first, second = readings(text, FEET_INCHES)
    assert first == Reading("12'-6\"", inches(150))
    assert second.length == inches(text)


@pytest.mark.parametrize("text", ["61.6", "12.12", "12.75", "12.0", "0.5", "12.125"])
def test_a_bare_decimal_that_can_not_be_feet_and_inches_is_inches(text: str) -> None:
    assert read(text, FEET_INCHES) == inches(text)


def test_the_same_decimal_is_inches_in_an_inch_shop() -> None:
    assert read("12.6", INCHES) == inches("12.6")


@pytest.mark.parametrize(
    ("text", "shop", "lengths"),
    [
        ("3,810 mm", INCHES, [mm(3810), mm("3.81")]),
        ("3,810", METRIC, [mm(3810), mm("3.81")]),
        ("3,810 m", METRIC, [mm(3_810_000), mm(3810)]),
        ("12' 1/2", INCHES, [inches("144 1/2"), inches(150)]),
        ("12 6", FEET_INCHES, [inches(150), inches(126)]),
        ("12 6 1/2", INCHES, [inches("150 1/2"), inches("126 1/2")]),
        ("148 1/2", METRIC, [mm("148.5"), inches("148 1/2")]),
        ("1/2", METRIC, [mm("0.5"), inches("1/2")]),
    ],
)
def test_what_can_be_read_two_ways_is_refused_with_both(text: str, shop: tuple[Unit, Style], lengths: list) -> None:
    both = readings(text, shop)
    assert [one.length for one in both] == lengths
    for one in both:
        for other_shop in SHOPS:
            assert read(one.text, other_shop) == one.length


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("12' 14\"", "Write 13'-2\""),
        ("12-14-1/2", "Write 13'-2 1/2\""),
        ("12' 6 9/8\"", "9/8 is not less than 1"),
        ("61/2", "not less than 1"),
        ('6 1/0"', "divides by zero"),
        ('1/3"', 'for example 21/64"'),
        ("1/128", "1/64 in"),
        ("1/127 in", "1/64 in"),
        ("0.00000001 in", "1/64 in"),
        ("0.0000001 mm", "0.001 mm"),
        ("-3", "without the minus"),
        ("−3 in", "without the minus"),
        ("+3", "without the plus"),
        ("148 - 12", "could mean taking off"),
        ("166 -12", "could mean taking off"),
        ("12ft.6in", "Write it like"),
        ("12-6-8", "Write it like"),
        ("12.5' 6\"", "told apart"),
        ("3,81 in", "comma"),
        ("3,840", "comma"),
        ("1,234,567 mm", "Write it like"),
        ("3 m 84 cm", "one number and one unit"),
        ("1/2 m", "one number and one unit"),
        ("12 ft 3 cm", "one number and one unit"),
        ("3 840", "Write it like"),
        ("1_000", "“_”"),
        ("١٢", "0 to 9"),
        ("१२", "0 to 9"),
        ("12²", "0 to 9"),
        ("1e3", "“e”"),
        ("NaN", "“nan”"),
        ("inf", "“inf”"),
        ("Infinity", "“infinity”"),
        ("True", "“true”"),
        ("12x14", "“x”"),
        ("ft", "Write it like"),
        ("12''' ", "Write it like"),
        ("5.", "Write it like"),
        ("1.2.3", "Write it like"),
        ("1234567890", "longer than any building"),
        ("12\x00", "Write it like"),
        ("", "No length was given"),
        ("  \t", "No length was given"),
        ("9" * 65, "64 characters"),
    ],
)
def test_what_can_not_be_a_length_is_refused_with_a_remedy(text: str, remedy: str) -> None:
    with pytest.raises(LengthError) as refused:
        read(text, INCHES)
    assert remedy in str(refused.value)
    assert not isinstance(refused.value, AmbiguousLength)


@pytest.mark.parametrize("value", [True, 12, 12.5, None, [], {}, b"12"])
def test_only_text_is_read(value: object) -> None:
    with pytest.raises(LengthError, match="written as text"):
        read_length(value, unit=Unit.INCH, style=Style.INCHES)  # type: ignore[arg-type]


TAPES = [Tape(style, fraction) for style in (Style.FEET_INCHES, Style.INCHES) for fraction in (8, 16, 32, 64)]


@given(steps=st.integers(0, 300 * 12 * 64), tape=st.sampled_from([*TAPES, Tape(Style.MM, 1)]), mark=st.booleans())
def test_what_is_printed_reads_back_as_what_was_meant(steps: int, tape: Tape, mark: bool) -> None:
    """With its sign anywhere; without it, in the shop that printed it."""
    length = (steps * tape.step).exact()
    assert read(tape.show(length, mark=mark), (tape.unit, tape.style)) == length
    if mark:
        assert {read(tape.show(length), shop) for shop in SHOPS} == {length}


@given(text=st.text(max_size=80) | st.text("0123456789 ./-,'\"½′ftincm", max_size=80), shop=st.sampled_from(SHOPS))
@example("1 " * 31 + "/", INCHES)
@example("1/" * 32, INCHES)
@example("9" * 64, METRIC)
@example("⅟8", INCHES)
@example("0 0 0", FEET_INCHES)
@example("\ud800", INCHES)
def test_any_text_is_read_or_refused_for_a_reason(text: str, shop: tuple[Unit, Style]) -> None:
    try:
        assert read(text, shop) >= inches(0)
    except AmbiguousLength as asked:
        assert len(asked.readings) == 2
        assert len({one.length for one in asked.readings}) == 2
        assert all(read(one.text, other) == one.length for one in asked.readings for other in SHOPS)
    except LengthError as refused:
        assert len(str(refused)) < 300


@given(whole=st.integers(0, 80), tenths=st.integers(0, 9))
def test_decimals_hold_exactly(whole: int, tenths: int) -> None:
    assert read(f"{whole}.{tenths} in") == inches(whole + Fraction(tenths, 10))
