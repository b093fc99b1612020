"""What is asked of a room's light beside what is computed, in words. By hand, in an inch shop's footcandles."""

import pytest

from layout.engine.lengths import Style, Tape
from layout.engine.light.targets import Asked, Line
from layout.light.pictures.values import Told
from layout.light.words import asked_words

FEET = Told(Tape(Style.FEET_INCHES))
FC = 10.7639  # lux in a footcandle: 1 / 0.3048^2


@pytest.mark.parametrize(
    ("line", "word"),
    [
        (Line(Asked.PLANE, 30 * FC, 25 * FC, "lx"), "short by 5 fc"),
        (Line(Asked.PLANE, 30 * FC, 29.99 * FC, "lx"), "just short"),
        (Line(Asked.PLANE, 30 * FC, 59 * FC, "lx"), "met"),
        (Line(Asked.PLANE, 30 * FC, 75 * FC, "lx"), "met, 2.5 times that"),
        (Line(Asked.PLANE_MOST, 30 * FC, 40 * FC, "lx", at_least=False), "over by 10 fc"),
        (Line(Asked.UNIFORMITY, 0.5, 0.499, ""), "just short"),
        (Line(Asked.WALL_RATIO, 0.5, 0.4, ""), "short by 0.10"),
    ],
)
def test_short_is_never_said_to_be_by_nothing(line, word):
    assert asked_words(line, FEET).word == word


def test_a_level_stands_in_the_shops_unit_with_lux_beside():
    told = asked_words(Line(Asked.PLANE, 30 * FC, 25 * FC, "lx"), FEET)
    assert (told.wanted, told.found, told.met) == ("30 fc (323 lx)", "25 fc (269 lx)", False)
