"""The rules for light over a task, as data: the numbers, in words, and where they are from. Places nothing.

All are common practice: defaults a shop may change, never a limit. Local code and the licensed trade decide.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from layout.engine.lengths import Length, feet, inches

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class TaskRule:
    """text: the rule as it is told. caution: what to look out for."""

    key: str
    name: str
    text: str
    source: str = PRACTICE
    caution: str = ""


COUNTER = TaskRule("counter", "Counter", "over the front edge, 36 to 42 in apart, one at the sink, one at the range")
ISLAND = TaskRule(
    "island",
    "Island",
    "on the center line, the end lights 12 to 18 in inside the ends, no more than 36 in apart",
    caution="Keep off the line of the stools: a light over a seat is a light in the eyes.",
)
VANITY = TaskRule(
    "vanity",
    "Vanity",
    "over the counter's front edge, 18 to 24 in from the mirror wall, one on either side of each basin",
    caution="Not over the head: it shades the face.",
)
DESK = TaskRule(
    "desk",
    "Desk",
    "in front of the user and to the sides",
    caution="Not behind the user: their own shadow falls on the work.",
)
SCREEN = TaskRule(
    "screen",
    "Screen",
    "rows run along the line of view; none in the first 3 ft in front of a projection screen",
)
ACCENT = TaskRule("accent", "Art", "aimed at 30 degrees: off the wall by (ceiling less target height) x tan 30")
WALL_WASH = TaskRule(
    "wall_wash", "Wall wash", "a quarter to a third of the height off the wall, 24 to 36 in; gaps 1 to 1 1/4 of that"
)
GRAZE = TaskRule("graze", "Graze", "6 to 12 in off the wall", caution="It shows every wave in the drywall.")
HALL = TaskRule(
    "hall",
    "Hall",
    "one row on the center line, 6 to 8 ft apart, half a gap off both ends; under 48 in wide use a 3 to 4 in light",
    "trade articles, as quoted by public pages",
)
STAIRS = TaskRule(
    "stairs",
    "Stairs",
    "one at each landing; none over the flight, where no ladder stands",
    caution="Switches at both ends where there are 6 risers or more: NEC 210.70, from memory. Local code decides.",
)
CLOSET = TaskRule(
    "closet",
    "Closet",
    "one for each 4 to 5 ft, half a gap off the ends",
    caution="Kept off the storage by 6 in or more, by the kind of light: NEC 410.16, from memory. Local code decides.",
)
RULES = (COUNTER, ISLAND, VANITY, DESK, SCREEN, ACCENT, WALL_WASH, GRAZE, HALL, STAIRS, CLOSET)

TASK_GAP = inches(36)
COUNTER_END = inches(18)  # half of a gap
ISLAND_END = inches(12)
VANITY_OFF = (inches(18), inches(24))
BESIDE_BASIN = inches(15)
SCREEN_FREE = inches(36)
TAN_30 = Fraction(57_735_026_919, 10**11)  # to the eleventh digit: less than a nanometer off in 10 ft
WASH_OFF = (inches(24), inches(36))
WASH_GAP = Fraction(5, 4)
GRAZE_OFF = (inches(6), inches(12))
HALL_GAP = feet(8)
HALL_NARROW = inches(48)
CLOSET_GAP: Length = feet(5)
