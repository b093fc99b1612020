"""What stages ask of sizes, readings and the ceiling, and of a person where no record shows it."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.engine import survey
from layout.engine.lengths import Style
from projects.catalogue.tables import stage_questions
from projects.ceilings.models import Ceiling, Framing
from projects.jobs.models import WALLS, FixtureCount, JobRuns, MeasurementSet, Reading, SurveyKind
from projects.jobs.sizes import Squared, room_readings, squared_by
from projects.stages.guards import ENTER, LEAVE, guard
from projects.stages.models import Said

TAPED = (SurveyKind.FRAMING.value, SurveyKind.FINISHED.value)
LEFT_RIGHT, DOOR_FAR = {"door", "far"}, {"left", "right"}


@guard(
    "rough_size", stage="bid", at=LEAVE, title=gettext_lazy("A plan, a rough size or a count of lights"), page="counts"
)
def rough_size(rooms):
    ids = [room.pk for room in rooms]
    sized = set(
        Reading.objects.filter(measurement_set__room__in=ids, subject__in=WALLS).values_list(
            "measurement_set__room", flat=True
        )
    )
    counted = set(FixtureCount.objects.filter(room__in=ids).values_list("room", flat=True))
    words = _("Nothing says how large it is or what it is to have. Enter a size from the plan, or count its lights.")
    return dict.fromkeys(set(ids) - sized - counted, words)


@guard("measured", stage="survey", at=LEAVE, title=gettext_lazy("The room taped both ways"), page="measurements")
def measured(rooms):
    taped = {}
    ids = [room.pk for room in rooms]
    rows = Reading.objects.filter(measurement_set__room__in=ids, measurement_set__kind__in=TAPED)
    for room_id, subject in rows.values_list("measurement_set__room", "subject"):
        taped.setdefault(room_id, set()).add(subject)
    missing = {}
    for room in rooms:
        found = taped.get(room.pk, set())
        if not found & LEFT_RIGHT and not found & DOOR_FAR:
            missing[room.pk] = _("Nobody has taped it. A size from a plan is not enough: tape it both ways.")
        elif not found & LEFT_RIGHT:
            missing[room.pk] = _("Left to right is not taped.")
        elif not found & DOOR_FAR:
            missing[room.pk] = _("Door to far wall is not taped.")
    return missing


@guard("tape_check", stage="survey", at=LEAVE, title=gettext_lazy("The tape check"), page="measurements")
def tape_check(rooms):
    sets = {}
    visits = MeasurementSet.objects.filter(room__in=[room.pk for room in rooms], kind__in=TAPED)
    for visit in visits.order_by("-pk").prefetch_related("readings"):
        sets.setdefault(visit.room_id, []).append(visit)
    missing = {}
    for room in rooms:
        if words := _tape_check_of(room, sets.get(room.pk, [])):
            missing[room.pk] = words
    return missing


def _tape_check_of(room, visits):
    """visits: taped ones, the newest first."""
    tape = room.job.tape
    for visit in visits:
        found = survey.tape_check(
            room_readings(visit), tape.step, survey.Instrument(visit.instrument), Style(tape.style)
        )
        if found.status is survey.TapeCheckStatus.OK:
            return ""
        if found.status is survey.TapeCheckStatus.ONE_OF_THESE:
            return _("The four walls and the diagonals don't agree. One reading is off: tape it again.")
    if squared_by(visits) is Squared.NOT_TAPED:
        return _("Not squared: tape all four walls and both diagonals, or a 3-4-5.")
    return ""


@guard(
    "hazards", stage="survey", at=LEAVE, title=gettext_lazy("The building's year, for asbestos and lead"), safety=True
)
def hazards(rooms):
    words = _(
        "Nobody has entered the year the building was built (Edit job). Until it is known, take it that surfaces may "
        "hold asbestos or lead: nothing is drilled or cut before a test."
    )
    existing = (JobRuns.RETROFIT, JobRuns.GRID)
    return {room.pk: words for room in rooms if room.job.runs_as in existing and room.job.year_built is None}


@guard(
    "overhead_seen",
    stage="rough_in",
    at=ENTER,
    title=gettext_lazy("Somebody looked at the framing and what hangs in the ceiling"),
    safety=True,
    page="overhead",
)
def overhead_seen(rooms):
    ids = [room.pk for room in rooms]
    looked = Ceiling.objects.of(rooms[0].shop_id).filter(room__in=ids).exclude(framing=Framing.UNSEEN)
    words = _("Nobody has entered what stands overhead. Look before anything is fastened or cut.")
    return dict.fromkeys(set(ids) - set(looked.values_list("room", flat=True)), words)


def _ask(question):
    """A guard that is met when somebody has said so by name."""

    @guard(
        f"said_{question.key}",
        stage=question.stage,
        at=question.at,
        title=gettext_lazy(question.text),
        hold=question.hold,
        said=question.key,
    )
    def said(rooms):
        ids = [room.pk for room in rooms]
        stands = Said.objects.of(rooms[0].shop_id).filter(room__in=ids, question=question.key, stands=True)
        words = _("Nobody has said so yet. Look, then say it by name.")
        return dict.fromkeys(set(ids) - set(stands.values_list("room", flat=True)), words)


for _question in stage_questions().values():
    _ask(_question)
