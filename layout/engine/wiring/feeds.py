"""From a circuit's switch boxes to its panel: one homerun, boxes fed one from the next. Knows no lights, no prices."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise, product

from layout.engine.wiring.chain import Drop
from layout.engine.wiring.pull import Draft, Lacking, Pull
from layout.engine.wiring.values import Circuit, Lacks, OnOneHomerun, Ordered, Outlet, Part, RunKind, Zone
from layout.engine.wiring.zone_routes import Hung, fed_box, hung, leg_choices

MOST_OF_A_NAME = 20  # letters of a run's end, as they are kept with runs set by hand
PAIRS_TRIED = 5  # 3-way pairs of one circuit whose both ends are tried together: 32 ways


@dataclass(frozen=True, slots=True)
class Fed:
    """The boxes of one circuit, first the one its homerun comes to."""

    boxes: tuple[Outlet, ...]
    ordered: Ordered


def chosen(zones: Sequence[Zone], home: Outlet | None, name: str, pull: Pull) -> tuple[list[Hung], Fed]:
    """How each zone of a circuit is hung and how their boxes are fed: least cable over both ends of each 3-way pair.

    With more than PAIRS_TRIED pairs each leg leaves from the end that makes its own zone shortest.
    """
    hangs = [[hung(zone, pull, leg) for leg in leg_choices(zone)] for zone in zones]
    if sum(len(each) > 1 for each in hangs) > PAIRS_TRIED:
        hangs = [[min(each, key=lambda hang: hang.length)] for each in hangs]
    best: tuple[int, list[Hung], Fed] | None = None
    for pick in product(*hangs):
        fed = _fed(zones, pick, home, name, pull)
        length = sum(hang.length for hang in pick) + int(fed.ordered.length.nm)
        if best is None or length < best[0]:
            best = (length, list(pick), fed)
    assert best is not None
    return best[1], best[2]


def feed_drafts(zones: Sequence[Zone], fed: Fed, home: Outlet | None, circuit: Circuit, pull: Pull) -> list[Draft]:
    """The homerun, or the feed from the room that has it, and the feeds between switch boxes."""
    make_up = ((Part.SWITCH_MAKE_UP, 2 * pull.allowances.switch_make_up),)
    feeds = [
        pull.run(
            RunKind.SWITCH_FEED,
            circuit.power,
            ((here.id, here.at), (there.id, there.at)),
            ((Part.SWITCH_DROP, pull.drop(here) + pull.drop(there)),),
            make_up,
            circuit=circuit.name,
            lacks=pull.height_lacks,
        )
        for here, there in pairwise(fed.boxes)
    ]
    if circuit.fed_from:
        return [*feeds, _from_another_room(zones, fed, circuit, pull)]
    return [*feeds, _homerun(zones, fed, home, circuit, pull)]


def on_one_homerun(zones: Sequence[Zone], fed: Fed, circuit: Circuit) -> OnOneHomerun:
    lights = tuple(light.id for zone in zones for light in zone.lights)
    return OnOneHomerun(circuit.name, tuple(zone.letter for zone in zones), lights, tuple(box.id for box in fed.boxes))


def _fed(zones: Sequence[Zone], hangs: Sequence[Hung], home: Outlet | None, name: str, pull: Pull) -> Fed:
    places: dict[object, Outlet] = {}
    for zone, hang in zip(zones, hangs, strict=True):
        if box := fed_box(zone, hang.leg):
            places.setdefault((box.at, box.height, box.story), box)  # two switches at one place share a box
    boxes = tuple(places.values())
    drops = [Drop(box.id, box.at) for box in boxes]
    down = [pull.drop(box) for box in boxes]
    found = pull.shortest(drops, home.at, down, pull.drop(home)) if home else pull.shortest(drops, None, down)
    order = [drops[index] for index in found.order]
    return Fed(tuple(boxes[index] for index in found.order), pull.told("circuit", name, order, found.length, found))


def _from_another_room(zones: Sequence[Zone], fed: Fed, circuit: Circuit, pull: Pull) -> Draft:
    """A run that waits for its feet: this room's plan doesn't say where the other room's box is."""
    box = fed.boxes[0] if fed.boxes else None
    lacks: Lacking = ((Lacks.FEED, (circuit.fed_from,)),)
    if not box:
        lacks = ((Lacks.SWITCH, tuple(zone.letter for zone in zones)), *lacks)
    here = (box.id, box.at) if box else ("switch", None)
    there = f"room {circuit.fed_from}"[:MOST_OF_A_NAME].strip()
    return pull.run(RunKind.SWITCH_FEED, circuit.power, (here, (there, None)), circuit=circuit.name, lacks=lacks)


def _homerun(zones: Sequence[Zone], fed: Fed, home: Outlet | None, circuit: Circuit, pull: Pull) -> Draft:
    letters = tuple(zone.letter for zone in zones)
    box = fed.boxes[0] if fed.boxes else None
    lacks: Lacking = ()
    if not box:
        lacks += ((Lacks.SWITCH, letters),)
    if not home:
        lacks += ((Lacks.PANEL, letters),)
    allowances = pull.allowances
    return pull.run(
        RunKind.HOMERUN,
        circuit.power,
        ((box.id, box.at) if box else ("switch", None), (home.id, home.at) if home else ("panel", None)),
        ((Part.SWITCH_DROP, pull.drop(box)),) if box else (),
        (
            *(pull.drop_parts(Part.PANEL_DROP, home) if home else ()),
            (Part.PANEL_MAKE_UP, allowances.panel_make_up),
            (Part.FEED_MAKE_UP, allowances.feed_make_up),
        ),
        circuit=circuit.name,
        lacks=(*lacks, *pull.height_lacks),
    )
