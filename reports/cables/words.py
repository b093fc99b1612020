"""Cables, reels and pulls as rows of words for pages, papers and CSV. Knows values; asks the database nothing."""

from collections import Counter
from dataclasses import dataclass

from django.utils.translation import gettext as _

from layout.engine.lengths import Distance, Unit, feet, mm
from reports.cables.labels import EndLabel
from reports.documents.head import amount, cable_unit
from reports.documents.takeoff import NOTED, NOTES, PARTS, RUNS
from reports.estimating.cable_schedule import WHOLE, Cable, CablePlan, FromReel


@dataclass(frozen=True, slots=True)
class CableRow:
    """One line of the schedule. length: as counted; piece: what is cut; computed: beside a length set by hand."""

    number: str
    room: str
    kind: str
    from_id: str
    to_id: str
    cable: str
    zone: str
    circuit: str
    length: str
    piece: str
    parts: tuple[tuple[str, str], ...]
    bored: int
    around: str
    by_hand: bool
    computed: str
    notes: tuple[str, ...]
    loss: str
    pulled: str


class Words:
    """How one job says lengths and cables. names: of cables, by key."""

    def __init__(self, tape, rules):
        self.unit, self.names = tape.unit, {key: cable.name for key, cable in rules.cables.items()}
        self.tape = tape

    @property
    def cable_unit(self):
        return cable_unit(self.unit)

    @property
    def unit_length(self):
        return feet(1) if self.unit is Unit.INCH else mm(1000)

    def name(self, cable):
        return self.names.get(cable, cable)

    def long(self, length: Distance, places=1):
        """A length of cable with its unit."""
        return f"{amount(length, self.unit, places)}\N{NO-BREAK SPACE}{self.cable_unit}"

    def whole(self, length: Distance):
        """A piece or what a reel holds: whole feet, or half meters."""
        places = 0 if length.nm % WHOLE[self.unit].nm == 0 and self.cable_unit == _("ft") else 1
        return self.long(length, places)

    def row(self, cable: Cable, loss=None, pull=None) -> CableRow:
        run = cable.run
        return CableRow(
            number=cable.id,
            room=cable.room.name,
            kind=str(RUNS[run.kind]),
            from_id=run.from_id,
            to_id=run.to_id,
            cable=self.name(run.cable),
            zone=run.zone,
            circuit=run.circuit,
            length=self.long(run.length),
            piece=self.whole(cable.piece),
            parts=tuple((str(PARTS[part]), self.long(length, 2)) for part, length in run.parts),
            bored=run.bored,
            around=", ".join(run.around),
            by_hand=run.by_hand is not None,
            computed=self.long(run.computed) if run.by_hand is not None and run.parts else "",
            notes=tuple(str(NOTED[note]) for note in run.notes),
            loss=loss_in_words(loss),
            pulled=self.whole(pull.used) if pull else "",
        )

    def ends(self, cable: Cable) -> tuple[EndLabel, EndLabel]:
        """The labels of a cable's two ends."""
        run = cable.run
        place = ", ".join(
            part
            for part in (
                cable.room.name,
                _("zone %s") % run.zone if run.zone else "",
                _("circuit %s") % run.circuit if run.circuit else "",
            )
            if part
        )
        name = self.name(run.cable)
        return (
            EndLabel(cable.id, run.from_id, run.to_id, name, place),
            EndLabel(cable.id, run.to_id, run.from_id, name, place),
        )

    def plan(self, plan: CablePlan) -> "PlanRows":
        return PlanRows(
            cable=self.name(plan.cable),
            pieces=self.whole(plan.pieces),
            count=len(plan.cables),
            buy=tuple((count, self.whole(length)) for length, count in plan.to_buy),
            reels=tuple(self.reel(reel, place) for place, reel in enumerate(plan.reels, 1)),
            leftover=self.whole(plan.leftover),
            cost=plan.cost,
            exact=plan.exact,
            least=plan.least,
            too_long=tuple((cable.id, self.whole(cable.piece)) for cable in plan.too_long),
            refused=plan.refused,
        )

    def reel(self, reel: FromReel, place: int) -> "ReelRows":
        return ReelRows(
            place=place,
            name=reel.name,
            reel_id=reel.reel_id,
            length=self.whole(reel.length),
            price=reel.price,
            left=self.whole(reel.left),
            pieces=tuple(
                (cable.id, cable.run.from_id, cable.run.to_id, self.whole(cable.piece)) for cable in reel.cables
            ),
        )


@dataclass(frozen=True, slots=True)
class ReelRows:
    """One reel of a plan in words. name: an opened one's; empty for one to buy. pieces: (number, from, to, length)."""

    place: int
    name: str
    reel_id: int
    length: str
    price: object
    left: str
    pieces: tuple[tuple[str, str, str, str], ...]


@dataclass(frozen=True, slots=True)
class PlanRows:
    cable: str
    pieces: str
    count: int
    buy: tuple[tuple[int, str], ...]
    reels: tuple[ReelRows, ...]
    leftover: str
    cost: object
    exact: bool
    least: object
    too_long: tuple[tuple[str, str], ...]
    refused: str

    @property
    def cost_known(self):
        return self.cost is not None

    @property
    def gap(self):
        """How far the cost may lie over the least there is, in percent; nothing where it is proved."""
        if self.exact or not self.cost or not self.least or self.cost == self.least:
            return ""
        return f"{100 * (self.cost - self.least) / self.least:.1f}"


def notes_in_words(cables):
    """What the notes of these runs ask for, each once, with how many runs bear it."""
    counts = Counter(note for cable in cables for note in cable.run.notes)
    return [(str(NOTED[note]), count, str(NOTES[note])) for note, count in counts.items()]


def loss_in_words(loss) -> str:
    """'1.29 V, 1.1 %' or '0.34 dB'; nothing where it isn't known."""
    if loss is None:
        return ""
    if loss.db is not None:
        return _("%(db).2f dB") % {"db": loss.db}
    return _("%(volts).2f V, %(percent).1f %%") % {"volts": loss.volts, "percent": loss.percent}
