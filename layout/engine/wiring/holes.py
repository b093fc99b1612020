"""What may be bored or notched in solid-sawn joists and studs. Knows no cables, no rooms and no Django.

Depths are actual: a 2 x 10 is 9 1/4 in. I-joists, trusses, LVL and glulam are cut only as their maker or a registered
designer allows, and a cutout for a light or a speaker never justifies cutting a joist: move the mark.
Source: IRC R502.8.1, R602.6 (secondary copies seen); NEC 300.4(A)(1), 2017 to 2023 (seen). Local text wins.
"""

from __future__ import annotations

from dataclasses import dataclass

from layout.engine.wiring.conductors import ElectricalError

JOIST_EDGE_IN = 2.0
CABLE_EDGE_IN = 1.25  # to the member's nearest edge, else a 1/16 in steel plate: another rule with another purpose
THIRD, EDGES = "a third of the depth", "2 in left at both edges"


@dataclass(frozen=True, slots=True)
class Hole:
    """The largest bored hole and which limit it is from."""

    diameter_in: float
    governed_by: str


def largest(depth_in: float) -> Hole:
    """The largest hole through a joist of that actual depth: a third of it, and 2 in left above and below, both.

    In a shallow joist the 2 in rule beats the third: 5 1/2 in takes 1 1/2 in, not 1.83. Raises ElectricalError for a
    joist that takes no hole at all. Source: IRC R502.8.1 (study guide's 9 1/4 in example, 3.08, seen).
    """
    between_edges = depth_in - 2 * JOIST_EDGE_IN
    if between_edges <= 0:
        raise ElectricalError(
            f"Depth: a joist {depth_in:g} in deep takes no bored hole: 2 in have to stay above and below it."
        )
    third = depth_in / 3
    return Hole(third, THIRD) if third <= between_edges else Hole(between_edges, EDGES)


def largest_notch_in(depth_in: float) -> float:
    """Depth of a notch in a joist: a sixth, and never in the middle third of the span. Source: IRC R502.8.1 (seen)."""
    return depth_in / 6


def largest_end_notch_in(depth_in: float) -> float:
    """Depth of a notch at a joist's end: a quarter. Source: IRC R502.8.1 (seen)."""
    return depth_in / 4


def largest_stud_hole_in(depth_in: float, *, bearing: bool = True) -> float:
    """40 % of a stud, 60 % where it bears nothing or is doubled (from memory); 5/8 in stay to its edge. IRC R602.6."""
    return min(depth_in * (0.4 if bearing else 0.6), max(depth_in - 2 * 0.625, 0.0))


def wants_plate(depth_in: float, hole_in: float) -> bool:
    """Whether a hole bored in the middle of a member leaves cable nearer than 1 1/4 in to its edge.

    Source: NEC 300.4(A)(1), 2017 to 2023 (seen). A local code printing 1 1/2 in was seen: local text wins.
    """
    return (depth_in - hole_in) / 2 < CABLE_EDGE_IN
