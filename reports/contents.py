"""From revisions and their rooms to what the schedule, takeoff and checklist are counted from. No counting here."""

from layout.engine.marks import Kind
from layout.engine.wiring.runs import room_runs
from layout.services import thawed
from projects.catalogue.tables import takeoff_rules
from projects.jobs.models import JobRuns
from reports.documents.head import Head, RoomRef
from reports.estimating.checklist import RoomParts, known_of
from reports.estimating.rules import allowances, usual_cables
from reports.estimating.schedule import FixtureFacts, Hole
from reports.estimating.takeoff import Fixture, RoomContents
from reports.wired import drops_of, room_wiring

# Over every hole of a lid that must stay closed to sound.
BOXED = frozenset({"speaker_back_box", "subwoofer_back_box", "light_cover"})


def room_ref(room, revision):
    """An isolated lid's holes are counted: each one leaks sound."""
    holes = revision.marks.all() if room.ceiling_system == "isolated" else ()
    return RoomRef(room.name, room.level, revision.number, revision.short_hash, len(holes))


def head_of(room_or_job, *, on, ref=None):
    job = getattr(room_or_job, "job", room_or_job)
    return Head(job.shop.name, job.number, job.name, on, ref)


def holes(revision):
    return [Hole(mark.ident, mark.fixture_type.key, mark.zone) for mark in revision.marks.all()]


def facts(revisions):
    """Every fixture type these revisions cut for, once, with the cutout as it now stands in the catalog."""
    types = {mark.fixture_type_id: mark.fixture_type for revision in revisions for mark in revision.marks.all()}
    return [
        FixtureFacts(
            key=record.key,
            kind=Kind(record.kind),
            name=record.name,
            cutout=record.cutout,
            verified=record.cutout_verified_by,
            aperture=record.aperture,
            depth=record.depth,
            frame=(record.frame_length, record.frame_width) if record.frame_length and record.frame_width else None,
            watts=record.watts,
            lumens=record.lumens,
            impedance_ohm=record.impedance_ohm,
        )
        for record in types.values()
    ]


def room_contents(room, revision, rules=None):
    """A room's fixtures and cable runs, by these rules, else the program's own. Runs tell what is not placed.

    Raises NotAsIssued.
    """
    rules = rules or takeoff_rules()
    layout = thawed(revision)
    drops = drops_of(revision.marks.all(), layout)
    fixtures = tuple(
        Fixture(
            mark.ident,
            Kind(mark.kind),
            mark.fixture_type.key,
            mark.fixture_type.name,
            mark.fixture_type.install,
            mark.zone,
            at=drops[mark.ident].at,
        )
        for mark in revision.marks.all()
    )
    wiring = room_runs(room_wiring(room, revision, layout, drops), usual_cables(rules), allowances(rules))
    pull = "remodel" if fixtures and all(fixture.install == "old_work" for fixture in fixtures) else "open"
    asked = BOXED if room.ceiling_system == "isolated" else frozenset()
    return RoomContents(room.name, fixtures, wiring, pull, asked)


def conditions(room, revision):
    """What was entered about a room that decides which checklist items bear on it: its marks are this revision's."""
    marks = revision.marks.all()
    known = getattr(room, "checks_known", None)
    return known_of(
        RoomParts(
            system=room.ceiling_system,
            kinds=frozenset(mark.kind for mark in marks),
            old_work=any(mark.fixture_type.install == "old_work" for mark in marks),
            existing=room.job.runs_as == JobRuns.RETROFIT,
            year_built=room.job.year_built,
            told=known.told if known else {},
        )
    )
