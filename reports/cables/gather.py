"""From a job's records to its cables, what is pulled already, and the reels for the rest. No pages, no drawing."""

from dataclasses import dataclass, replace

from django.core.paginator import Paginator

from layout.engine.lengths import ZERO, Length
from layout.engine.wiring.routes import run_label
from layout.engine.wiring.runs import Run, RunKind
from projects.jobs.models import Room
from reports.contents import room_contents
from reports.estimating.cable_schedule import Cable, CablePlan, RoomCables, cable_plans, cable_schedule
from reports.estimating.run_losses import SpeakerLoad, power_losses, speaker_losses
from reports.estimating.takeoff import room_takeoff
from reports.prices.queries import price_book
from reports.takeoffs.counting import counted_rooms, rooms_of
from reports.takeoffs.rules import rules_of
from reports.wiring.queries import opened_reels, pulled_runs

USUAL_VOLTS = 120.0
ROOMS_AT_ONCE = 100  # planned together; a larger job is pulled floor by floor anyway


@dataclass(frozen=True, slots=True)
class JobCables:
    """pulled: the pull of each run whose cable is in, by (room's pk, run key). counted: rooms without a layout yet."""

    job: object
    page: object  # of rooms, where the job has more than are planned at once
    rooms: tuple[RoomCables, ...]
    cables: tuple[Cable, ...]
    pulled: dict
    missing: tuple
    counted: tuple[str, ...]
    left_out: tuple[str, ...]

    def pull_of(self, cable):
        return self.pulled.get(cable.key)

    @property
    def to_pull(self):
        return tuple(cable for cable in self.cables if cable.key not in self.pulled)


def job_cables(job, page=1):
    """Every cable of a job's laid out rooms, each by its newest revision. Raises NotAsIssued.

    page: of ROOMS_AT_ONCE rooms, in the order they were entered.
    """
    numbers = room_numbers(job)
    page = Paginator(rooms_of(job).order_by("pk").values_list("pk", flat=True), ROOMS_AT_ONCE).get_page(page)
    counted, left_out = counted_rooms(job, only=list(page.object_list))
    rooms = [RoomCables.of(numbers[room.room_id], room.takeoff, room.room_id) for room in counted]
    return JobCables(
        job=job,
        page=page,
        rooms=tuple(rooms),
        cables=cable_schedule(rooms, job.tape.unit),
        pulled=pulled_runs(job.shop, [room.room_id for room in counted]),
        missing=tuple((room.name, each) for room in counted for each in room.takeoff.missing),
        counted=tuple(room.name for room in counted if room.revision is None),
        left_out=tuple(left_out),
    )


def room_numbers(job):
    """Each room's number in its job, in the order they were entered; a cancelled room and one in the trash keep their
    own, for it stands on labels.
    """
    rooms = Room.everything.of(job.shop_id).filter(job=job).order_by("pk")
    return {pk: number for number, pk in enumerate(rooms.values_list("pk", flat=True), 1)}


def reel_plans(found: JobCables) -> tuple[CablePlan, ...]:
    """The reels for what is not pulled yet: opened ones first, then the purchase of least cost.

    The same plan for everyone, so that crew and office speak of the same reels; who may not see prices gets it without.
    """
    shop = found.job.shop
    kinds = {cable.run.cable for cable in found.to_pull}
    return cable_plans(found.to_pull, packs_of(shop, kinds), opened_reels(shop), found.job.tape.unit)


def packs_of(shop, kinds):
    """What can be bought of each cable: with prices where the book has them, else the table's packs without."""
    prices, rules = price_book(shop).items, rules_of(shop)
    return {kind: _packs(prices.get(f"cable:{kind}"), rules.cables.get(kind)) for kind in kinds}


def _packs(priced, known):
    lengths = [(pack.size, pack.price) for pack in priced.packs if isinstance(pack.size, Length)] if priced else []
    return lengths or [(length, None) for length in (known.packs if known else ())]


def without_costs(plans):
    """The same plans for those who may not see prices."""
    return tuple(
        replace(each, cost=None, least=None, reels=tuple(replace(reel, price=None) for reel in each.reels))
        for each in plans
    )


@dataclass(frozen=True, slots=True)
class Waiting:
    """A run that lacks something and is not counted until its length is set by hand. id: its two ends."""

    id: str
    run: Run


@dataclass(frozen=True, slots=True)
class RoomFound:
    """One room wired: its runs as numbered cables, what each loses, and the wiring itself."""

    wiring: object
    cables: tuple[Cable, ...]
    losses: dict
    pulled: dict
    unloaded: tuple[str, ...]  # lights whose load nobody entered

    @property
    def settable(self):
        """What can be set by hand, by its number: every cable, and by their ends the runs that wait for something."""
        waiting = [Waiting(_ends(run), run) for run in self.wiring.waiting]
        return {each.id: each for each in (*self.cables, *waiting)}


def room_cables(room, revision) -> RoomFound:
    """Raises NotAsIssued."""
    rules = rules_of(room.shop)
    contents = room_contents(room, revision, rules)
    numbered = RoomCables.of(room_numbers(room.job)[room.pk], room_takeoff(contents, rules), room.pk)
    marks = list(revision.marks.all())
    volts = {zone.circuit.number: float(zone.circuit.volts) for zone in room.switch_zones.all() if zone.circuit}
    circuits = {zone.letter: zone.circuit.number for zone in room.switch_zones.all() if zone.circuit}
    amps = {mark.ident: load / volts.get(circuits.get(mark.zone, ""), USUAL_VOLTS) for mark, load in _loads(marks)}
    losses = power_losses(contents.wiring.runs, amps, volts, USUAL_VOLTS)
    losses |= speaker_losses(contents.wiring.runs, _speaker_load(room, marks))
    return RoomFound(
        wiring=contents.wiring,
        cables=cable_schedule([numbered], room.job.tape.unit),
        losses=losses,
        pulled=pulled_runs(room.shop, [room.pk]),
        unloaded=tuple(mark.ident for mark in marks if mark.kind == "light" and mark.ident not in amps),
    )


def _ends(run):
    """'A2–A3', with what tells it from another run between the same two."""
    return " ".join(part for part in (run_label(run), run.key[3]) if part)


def _loads(marks):
    """(light, VA): as on its label; its watts where no power factor was entered."""
    for mark in marks:
        load = mark.fixture_type.rated_va if mark.fixture_type.rated_va is not None else mark.fixture_type.watts
        if mark.kind == "light" and load is not None:
            yield mark, float(load)


def _speaker_load(room, marks):
    wiring = getattr(room, "speaker_wiring", None)
    ohm = {
        mark.ident: float(mark.fixture_type.impedance_ohm)
        for mark in marks
        if mark.kind != "light" and mark.fixture_type.impedance_ohm
    }
    if wiring is None or not wiring.line_volts or not wiring.tap_watts:
        return SpeakerLoad(ohm)
    return SpeakerLoad(ohm, float(wiring.line_volts), float(wiring.tap_watts))


def length_of(cables):
    """All cable of these runs, before waste, and how much of it a person set."""
    by_hand = [cable.run.by_hand for cable in cables if cable.run.by_hand is not None]
    return sum((cable.run.length for cable in cables), start=ZERO), sum(by_hand, start=ZERO)


def holes_of(cables):
    """Framing members bored through, run by run: cables that share a way share holes where their size allows it."""
    return sum(cable.run.bored for cable in cables if cable.run.kind is not RunKind.WHIP)
