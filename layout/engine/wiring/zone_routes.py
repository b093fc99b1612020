"""The cables of one zone: switch leg, light to light as a chain or a tree, 3-way pair, boxes beside lights.

Knows nothing of panels, speakers or prices.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from layout.engine.wiring.chain import Drop, Point, by_id
from layout.engine.wiring.order import Order
from layout.engine.wiring.pull import Draft, Lacking, Parts, Pull
from layout.engine.wiring.tree import ROOT, grown
from layout.engine.wiring.values import Lacks, Note, Ordered, Outlet, Part, RunKind, SeparateBox, Wired, Zone

FROM_SWITCH = ""  # in place of a light's ID


@dataclass(frozen=True, slots=True)
class Hung:
    """How a zone's lights hang together. edges: IDs from, to, in the order they are reached; FROM_SWITCH is the switch.

    leg: the box its cable leaves from. length: all of it, in nm.
    """

    leg: Outlet | None
    edges: tuple[tuple[str, str], ...]
    ordered: Ordered
    unreached: tuple[Drop, ...]

    @property
    def length(self) -> int:
        return int(self.ordered.length.nm)


def hung(zone: Zone, pull: Pull, leg: Outlet | None) -> Hung:
    """The zone's lights wired from this box, shortest or as a person set the order."""
    start = leg.at if leg else None
    lights, unreached = pull.reachable(by_id(zone.lights), start)
    if zone.wired is Wired.TREE:
        return _tree(zone, pull, leg, lights, unreached)
    found = pull.shortest(lights, start)
    order = [lights[index] for index in found.order]
    if zone.order:
        order = pull.as_set(zone.order, lights)
    length = pull.length_through(([start] if start else []) + [drop.at for drop in order])
    edges = (((FROM_SWITCH, order[0].id),) if order else ()) + tuple((a.id, b.id) for a, b in pairwise(order))
    return Hung(leg, edges, pull.told("zone", zone.letter, order, length, found), unreached)


def zone_drafts(
    zone: Zone, hang: Hung, pull: Pull, power: str, three_way: str
) -> tuple[list[Draft], list[SeparateBox]]:
    """Every run of the zone up to its switch boxes, and the boxes its lights' labels ask for or may need."""
    boxes = _boxes(zone, hang)
    stands_in = {box.light: box.id for box in boxes if box.counted}
    asked = {box.light for box in boxes if not box.counted}
    drafts = _three_way(zone, hang, pull, three_way)
    places = {drop.id: drop.at for drop in zone.lights}
    make_up: Parts = ((Part.LIGHT_MAKE_UP, 2 * pull.allowances.light_make_up),)
    for from_id, to_id in hang.edges:
        notes = _notes(from_id, stands_in, asked)
        to = (stands_in.get(to_id, to_id), places[to_id])
        if from_id == FROM_SWITCH:
            drafts.append(_leg(zone, hang.leg, pull, power, to))
        else:
            begin = (stands_in.get(from_id, from_id), places[from_id])
            drafts.append(
                pull.run(RunKind.HOP, power, (begin, to), (), make_up, zone.letter, zone.circuit, notes=notes)
            )
    for light, box in stands_in.items():
        whip = ((Part.WHIP, pull.allowances.whip), *make_up)
        ends = ((box, places[light]), (light, places[light]))
        drafts.append(pull.run(RunKind.WHIP, power, ends, (), whip, zone.letter, zone.circuit))
    reached = [drop for drop in by_id(zone.lights) if drop not in hang.unreached]
    start = hang.leg.id if hang.leg else "switch"
    return [
        *drafts,
        *pull.no_way(RunKind.HOP, power, hang.unreached, reached, start, zone.letter, zone.circuit),
    ], boxes


def _tree(zone: Zone, pull: Pull, leg: Outlet | None, lights: Sequence[Drop], unreached: tuple[Drop, ...]) -> Hung:
    start = leg.at if leg else None
    every_pair = len(lights) ** 2 + 1  # each time at least one more true way is in: it ends
    grew = pull.over_ways([drop.at for drop in lights], start, grown, lambda edges: edges, every_pair)[0][-1]
    ids = {index: drop.id for index, drop in enumerate(lights)} | {ROOT: FROM_SWITCH}
    edges = tuple((ids[a], ids[b]) for a, b in grew)
    places = {ids[index]: drop.at for index, drop in enumerate(lights)}
    if start:
        places[FROM_SWITCH] = start
    length = sum(pull.length_through([places[a], places[b]]) for a, b in edges)
    if not start and lights:  # the first light will be the one its leg reaches
        edges = ((FROM_SWITCH, lights[0].id), *edges)
    reached = [drop for _, to_id in edges for drop in lights if drop.id == to_id]
    return Hung(leg, edges, pull.told("zone", zone.letter, reached, length, Order((), length, length)), unreached)


def _leg(zone: Zone, leg: Outlet | None, pull: Pull, power: str, to: tuple[str, Point]) -> Draft:
    allowances = pull.allowances
    lacks: Lacking = pull.height_lacks if leg else ((Lacks.SWITCH, (zone.letter,)), *pull.height_lacks)
    before = pull.drop_parts(Part.SWITCH_DROP, leg) if leg else ()
    after = ((Part.SWITCH_MAKE_UP, allowances.switch_make_up), (Part.LIGHT_MAKE_UP, allowances.light_make_up))
    ends = ((leg.id, leg.at) if leg else ("switch", None), to)
    return pull.run(RunKind.SWITCH_LEG, power, ends, before, after, zone.letter, zone.circuit, lacks)


def _three_way(zone: Zone, hang: Hung, pull: Pull, cable: str) -> list[Draft]:
    """From the box that is fed to the one the leg leaves from: one conductor more, for the travelers."""
    if not (zone.switch and zone.partner):
        return []
    fed, other = (zone.partner, zone.switch) if hang.leg == zone.switch else (zone.switch, zone.partner)
    drops = ((Part.SWITCH_DROP, pull.drop(fed) + pull.drop(other)),)
    make_up = ((Part.SWITCH_MAKE_UP, 2 * pull.allowances.switch_make_up),)
    ends = ((fed.id, fed.at), (other.id, other.at))
    kind = RunKind.THREE_WAY
    return [pull.run(kind, cable, ends, drops, make_up, zone.letter, zone.circuit, pull.height_lacks)]


def _boxes(zone: Zone, hang: Hung) -> list[SeparateBox]:
    """Where more than one cable comes to a light whose label forbids it, or has none on file.

    Recessed fixtures' boxes take through-wiring only as marked (NEC 410.21 and the fixture's label, from memory).
    """
    enters = Counter(end for edge in hang.edges for end in edge if end != FROM_SWITCH)
    labels = dict(zone.labels)
    boxes = []
    for drop in by_id(zone.lights):
        cables = enters[drop.id]
        label = labels.get(drop.id)
        if cables > 1 and not (label and label.allows(cables)):
            boxes.append(SeparateBox(f"{drop.id}-J", drop.id, zone.letter, cables + 1, counted=label is not None))
    return boxes


def _notes(from_id: str, stands_in: dict[str, str], asked: set[str]) -> tuple[Note, ...]:
    if from_id in asked:
        return (Note.THROUGH_NOT_VERIFIED,)
    return (Note.AT_SEPARATE_BOX,) if from_id in stands_in else ()


def leg_choices(zone: Zone) -> tuple[Outlet | None, ...]:
    """The boxes a zone's leg can leave from: either one of a 3-way pair."""
    return (zone.switch, zone.partner) if zone.switch and zone.partner else (zone.switch or zone.partner,)


def fed_box(zone: Zone, leg: Outlet | None) -> Outlet | None:
    """The box its circuit comes to: of a 3-way pair the one its leg doesn't leave from."""
    if zone.switch and zone.partner:
        return zone.partner if leg == zone.switch else zone.switch
    return leg
