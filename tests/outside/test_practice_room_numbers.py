"""One room as a crew works it out with a pencil, number by number. Common practice, no source; sums by hand.

A floating ceiling in a 166 x 93 in framed room: a 6 in gap all round, then 2 in of furring a side, then the tape on the
finished ceiling, which never reads quite what the sum says.
"""

import pytest

from layout.engine.lengths import Distance, Length, Style, Tape, Unit, inches, last_to_wall
from layout.engine.reading import read_length
from layout.engine.stacks import Holds, Layer, SideBuildUp, Span, net_span, reconcile

TAPE = Tape(Style.INCHES, 16)
GAP = inches(6)
FURRING = Layer("furring", inches(2))


def tape_read(text: str) -> Length:
    return read_length(text, unit=Unit.INCH, style=Style.INCHES)


def with_gap(framing: str) -> Span:
    return net_span(tape_read(framing), SideBuildUp(gap=GAP), SideBuildUp(gap=GAP))


def with_gap_and_furring(framing: str) -> Span:
    side = SideBuildUp((FURRING,), gap=GAP)
    return net_span(tape_read(framing), side, side)


def shown(positions: list[Distance], wall: Distance) -> tuple[list[str], str]:
    proof = last_to_wall(wall, max(positions), TAPE)
    return [TAPE.show(at, mark=False) for at in positions], TAPE.show(proof, mark=False)


@pytest.mark.parametrize(
    ("framing", "gap_only", "furred", "read", "difference"),
    [("166", "154", "150", "150 1/2", "1/2"), ("93", "81", "77", "77 1/4", "1/4")],
)
def test_the_gap_and_the_furring_come_off_and_the_tape_differs(
    framing: str, gap_only: str, furred: str, read: str, difference: str
) -> None:
    assert with_gap(framing).net == inches(gap_only)
    span = with_gap_and_furring(framing)
    assert span.net == inches(furred)
    assert span.finished == inches(furred) + 2 * GAP
    assert reconcile(span, tape_read(read), Holds.UNKNOWN).difference == inches(difference)


def test_twelve_inches_in_from_each_end_and_the_rest_from_the_middle() -> None:
    ceiling = tape_read("150 1/2")
    first, last = inches(12), ceiling - inches(12)
    middle = ceiling / 2
    assert last - first == inches("126 1/2")
    assert middle - first == last - middle == inches("63 1/4")
    assert shown([first, middle, last], ceiling) == (["12", "75 1/4", "138 1/2"], "12")


def test_speakers_midway_between_lights() -> None:
    ceiling = tape_read("150 1/2")
    lights = [inches(12), ceiling / 2, ceiling - inches(12)]
    speakers = [(lights[0] + lights[1]) / 2, (lights[1] + lights[2]) / 2]
    assert speakers[0] - lights[0] == lights[1] - speakers[0] == inches("31 5/8")
    assert shown(speakers, ceiling) == (["43 5/8", "106 7/8"], "43 5/8")


@pytest.mark.parametrize(("off_the_wall", "apart"), [("16", "45 1/4"), ("18", "41 1/4"), ("24", "29 1/4")])
def test_two_rows_held_toward_the_walls(off_the_wall: str, apart: str) -> None:
    ceiling = tape_read("77 1/4")
    near, far = tape_read(off_the_wall), ceiling - tape_read(off_the_wall)
    assert far - near == inches(apart)
    assert shown([near, far], ceiling)[1] == off_the_wall


def test_equal_thirds_would_put_the_rows_25_3_4_off_the_walls() -> None:
    ceiling = tape_read("77 1/4")
    assert shown([ceiling / 3, 2 * ceiling / 3], ceiling) == (["25 3/4", "51 1/2"], "25 3/4")


def test_the_middle_light_from_framing_whichever_side_holds() -> None:
    """75 1/4 from the edge is 83 from the framing when the half inch is split: the middle of 166."""
    span = with_gap_and_furring("166")
    ceiling = tape_read("150 1/2")
    stood_off = {holds: reconcile(span, ceiling, holds).start_offset for holds in Holds}
    from_framing = {holds: off and off + ceiling / 2 for holds, off in stood_off.items()}
    assert from_framing == {
        Holds.START: inches("83 1/4"),
        Holds.END: inches("82 3/4"),
        Holds.SPLIT: inches(83),
        Holds.UNKNOWN: inches(83),
    }
