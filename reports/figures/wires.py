"""Figures of wiring: the shortest chain and the least tree through lights. Engine calls only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from layout.engine.wiring.chain import shortest_chain
from layout.engine.wiring.tree import least_tree
from reports.figures.figure import ANY_UNIT, Figure, Input, Result
from reports.figures.kinds import ListOf, Place

GROUP = "wiring"
MOST_POINTS = 300
POINTS = Input(
    "points",
    "Lights on the plan",
    ListOf(Place(), MOST_POINTS, 1, of_what="points [x, y]"),
    ANY_UNIT,
    [[0, 0], [5.5, 0], [11, 0], [0, 4], [5.5, 4], [11, 4]],
)
Pair = tuple[Fraction, Fraction]


def _chain(points: Sequence[Pair], start: Pair) -> Mapping[str, object]:
    found = shortest_chain(points, start)
    return {
        "length": found.length,
        "order": [place + 1 for place in found.order],
        "exact": found.exact,
        "no_shorter_than": found.lower_bound,
    }


def _tree(points: Sequence[Pair], root: Pair) -> Mapping[str, object]:
    found = least_tree(points, root)
    return {"length": found.length, "hops": [[one + 1, other + 1] for one, other in found.edges]}


FIGURES = (
    Figure(
        name="wire.chain",
        title="Shortest chain of lights",
        group=GROUP,
        inputs=(POINTS, Input("start", "From, the switch", Place(), ANY_UNIT, [-1, -1])),
        results=(
            Result("length", "Path", ANY_UNIT),
            Result("order", "Order of the lights, as given", ""),
            Result("exact", "Proved to be the shortest", ""),
            Result("no_shorter_than", "No chain is shorter than", ANY_UNIT),
        ),
        rule="|dx| + |dy| from the start through every light, ending anywhere. Make-up and drops are extra.",
        source="exact search to 16 lights, and past them wherever a lower bound meets it; cable follows framing",
        reckon=_chain,
    ),
    Figure(
        name="wire.tree",
        title="Least tree of lights",
        group=GROUP,
        inputs=(POINTS, Input("root", "From, the switch", Place(), ANY_UNIT, [-1, -1])),
        results=(
            Result("length", "Path", ANY_UNIT),
            Result("hops", "Hops, by the lights as given; 0 is the switch", ""),
        ),
        rule="The least |dx| + |dy| that joins all of them, with junctions only at the switch and at lights.",
        source="minimum spanning tree (Prim), exact",
        reckon=_tree,
    ),
)
