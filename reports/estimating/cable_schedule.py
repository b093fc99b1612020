"""Every cable of a job by its number, the piece to cut for it, and the reels the pieces come from. No pages, no Django.

A cable bears its room's number and the name of what it feeds: 2-A3 runs to light A3 of room 2, 2-H1 is that room's
homerun of circuit 1. Common practice, no source: any scheme will do that names both ends once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from layout.engine.lengths import ZERO, Distance, Length, Unit, feet, mm, nanometers
from layout.engine.wiring.values import Run, RunKey, RunKind
from reports.estimating.reels import Pack, Reel, ReelError, ReelPlan, plan
from reports.estimating.takeoff import RoomTakeoff

OUTLETS = frozenset({"switch", "three-way", "panel", "rack", "control"})
FIRST = (RunKind.HOMERUN, RunKind.SWITCH_FEED, RunKind.THREE_WAY, RunKind.CONTROL_FEED)  # pulled before the lights'
WHOLE = {Unit.INCH: feet(1), Unit.MM: mm(500)}  # a piece is cut to the next whole foot, or half meter


@dataclass(frozen=True, slots=True)
class RoomCables:
    """A room's runs under its number in the job. waste: percent by cable, as its takeoff adds it, once."""

    number: int
    name: str
    runs: tuple[Run, ...]
    waste: Mapping[str, Fraction]
    room_id: int = 0

    @classmethod
    def of(cls, number: int, takeoff: RoomTakeoff, room_id: int = 0) -> RoomCables:
        lines = [line for line in takeoff.lines if line.runs]
        shares = {line.runs[0].cable: dict(line.why[-1].inputs)["waste_percent"] for line in lines}
        waste = {cable: share for cable, share in shares.items() if isinstance(share, Fraction)}
        return cls(number, takeoff.room, tuple(run for line in lines for run in line.runs), waste, room_id)


@dataclass(frozen=True, slots=True)
class Cable:
    """One cable of the schedule. piece: what is cut for it, its share of waste included, to a whole step."""

    id: str
    room: RoomCables
    run: Run
    waste_percent: Fraction
    piece: Length

    @property
    def key(self) -> tuple[int, RunKey]:
        return self.room.room_id, self.run.key

    @property
    def whole_length(self) -> Length:
        """The run's length to the whole nanometer, for a record."""
        return nanometers(round(self.run.length.nm))


@dataclass(frozen=True, slots=True)
class Opened:
    """An opened reel of stock that pieces may come off."""

    name: str
    left: Length
    reel_id: int = 0


@dataclass(frozen=True, slots=True)
class FromReel:
    """One reel of a plan, in the crew's words: what is pulled off it, the longest first, and what is left on it."""

    name: str  # of an opened one; empty: to be bought
    length: Length
    price: Decimal | None
    cables: tuple[Cable, ...]
    left: Length
    reel_id: int = 0


@dataclass(frozen=True, slots=True)
class CablePlan:
    """The reels for one kind of cable over a job. too_long: no reel holds their piece; they are not in the plan.

    refused: why there is no plan, for people; reels is empty then.
    least: no purchase costs less than this; None without prices. exact: this purchase is proved the least.
    """

    cable: str
    cables: tuple[Cable, ...]
    reels: tuple[FromReel, ...] = ()
    cost: Decimal | None = None
    leftover: Length = ZERO
    exact: bool = True
    least: Decimal | None = None
    too_long: tuple[Cable, ...] = ()
    refused: str = ""

    @property
    def pieces(self) -> Length:
        return sum((cable.piece for cable in self.cables), start=ZERO).exact()

    @property
    def to_buy(self) -> tuple[tuple[Length, int], ...]:
        """How many of each pack, the longest first."""
        packs = Counter(reel.length for reel in self.reels if not reel.name)
        return tuple(sorted(packs.items(), key=lambda pack: -pack[0].nm))


def cable_schedule(rooms: Sequence[RoomCables], unit: Unit = Unit.INCH) -> tuple[Cable, ...]:
    """Every run of the rooms as a numbered cable: room by room, what feeds the room first, then light by light."""
    return tuple(cable for room in rooms for cable in _of_room(room, unit))


def _of_room(room: RoomCables, unit: Unit) -> list[Cable]:
    runs = sorted(room.runs, key=lambda run: FIRST.index(run.kind) if run.kind in FIRST else len(FIRST))
    return [
        Cable(f"{room.number}-{name}", room, run, room.waste[run.cable], piece(run.length, room.waste[run.cable], unit))
        for run, name in zip(runs, _names(runs), strict=True)
    ]


def piece(length: Distance, percent: Fraction, unit: Unit = Unit.INCH) -> Length:
    """What is cut for a run: its length with its share of waste, to the next whole foot or half meter."""
    step = WHOLE[unit]
    return (step * ceil(length.nm * (1 + percent / 100) / step.nm)).exact()


def _names(runs: Sequence[Run]) -> list[str]:
    """What each run is called within its room, no two alike."""
    seen: Counter[str] = Counter()
    names = []
    for run in runs:
        name = _named(run)
        seen[name] += 1
        names.append(name if seen[name] == 1 else f"{name}.{seen[name]}")
    return names


def _named(run: Run) -> str:
    if run.kind is RunKind.HOMERUN:
        return f"H{run.circuit or 1}"
    if run.kind is RunKind.SWITCH_FEED:
        return f"F{run.circuit or 1}"
    if run.kind is RunKind.THREE_WAY:
        return f"{run.zone}-3W"
    if run.kind is RunKind.CONTROL_FEED:
        return "VC"
    return f"{feeds(run)}-W" if run.kind is RunKind.WHIP else feeds(run)


def feeds(run: Run) -> str:
    """The light or speaker a run ends at; of one between two of them, the one farther from the source."""
    return run.from_id if _is_outlet(run.to_id) else run.to_id


def _is_outlet(end: str) -> bool:
    return end.split(" ")[0] in OUTLETS


def cable_plans(
    cables: Sequence[Cable],
    packs: Mapping[str, Sequence[tuple[Length, Decimal | None]]],
    opened: Mapping[str, Sequence[Opened]],
    unit: Unit = Unit.INCH,
) -> tuple[CablePlan, ...]:
    """The reel plan of each kind of cable in the schedule, in the schedule's order of kinds.

    Args: packs: what can be bought of each cable, with prices on all of a cable's packs or on none. opened: stock.
    """
    kinds = dict.fromkeys(cable.run.cable for cable in cables)
    return tuple(
        _plan_of(
            kind, [cable for cable in cables if cable.run.cable == kind], packs.get(kind, ()), opened.get(kind, ())
        )
        for kind in kinds
    )


def _plan_of(
    kind: str, cables: list[Cable], packs: Sequence[tuple[Length, Decimal | None]], opened: Sequence[Opened]
) -> CablePlan:
    """What no reel is long enough for is named and left out; the rest is planned all the same."""
    longest = max([length for length, _ in packs] + [reel.left for reel in opened], default=ZERO.exact())
    short = [cable for cable in cables if cable.piece <= longest]
    too_long = tuple(cable for cable in cables if cable.piece > longest)
    try:
        found = plan(
            [cable.piece.nm for cable in short],
            [Pack(length.nm, price) for length, price in packs],
            [reel.left.nm for reel in opened],
        )
    except ReelError as refused:
        return CablePlan(kind, tuple(cables), refused=str(refused))
    return _told(kind, cables, short, too_long, found, opened)


def _told(
    kind: str,
    cables: list[Cable],
    short: list[Cable],
    too_long: tuple[Cable, ...],
    found: ReelPlan,
    opened: Sequence[Opened],
) -> CablePlan:
    return CablePlan(
        cable=kind,
        cables=tuple(cables),
        too_long=too_long,
        reels=tuple(_from_reel(reel, short, opened) for reel in found.reels),
        cost=found.cost,
        leftover=_whole(found.leftover),
        exact=found.exact,
        least=found.lower_bound,
    )


def _from_reel(reel: Reel, cables: list[Cable], opened: Sequence[Opened]) -> FromReel:
    own = opened[reel.number] if reel.number is not None else None
    taken = sorted((cables[place] for place in reel.which), key=lambda cable: -cable.piece.nm)
    return FromReel(
        name=own.name if own else "",
        length=_whole(reel.length),
        price=reel.price,
        cables=tuple(taken),
        left=_whole(reel.left),
        reel_id=own.reel_id if own else 0,
    )


def _whole(nm: Fraction) -> Length:
    return Distance(nm).exact()


def fitting(cables: Sequence[Cable], left: Length) -> tuple[Cable, ...]:
    """The cables whose piece still comes off so much, the longest first: what to pull next off a reel."""
    return tuple(sorted((cable for cable in cables if cable.piece <= left), key=lambda cable: -cable.piece.nm))
