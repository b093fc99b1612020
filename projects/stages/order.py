"""Which stages a room goes through, in what order, and what each step asks. Values only; no query."""

from dataclasses import dataclass
from functools import lru_cache

from django.utils.translation import gettext as _

from projects.catalogue.table_values import StageTemplate
from projects.catalogue.tables import stage_number, stage_templates, stages
from projects.stages.guards import ENTER, GUARDS, LEAVE, Guard

COVERED_AT = "drywall"  # where guards of the closed ceiling are registered; a template may ask them elsewhere


@dataclass(frozen=True, slots=True)
class NextHold:
    """A hold point ahead of a room. on: the job's day for it, where it has one."""

    point: str
    label: str
    stage: int
    on: object


def template_of(job) -> StageTemplate:
    return stage_templates()[job.runs_as]


@lru_cache
def numbers_of(key: str) -> tuple[int, ...]:
    """The template's stages by number, in its order."""
    return tuple(stage_number(name) for name in stage_templates()[key].stages)


def stages_of(job) -> list[tuple[int, str]]:
    """(number, name as this kind of job calls it), in the order its rooms go through them."""
    return [(number, name_of(number, job)) for number in numbers_of(job.runs_as)]


def name_of(number: int, job) -> str:
    """A stage as this kind of job calls it."""
    stage = stages()[number]
    return _(template_of(job).names.get(stage.key, stage.name))


def place_of(number: int, job) -> float:
    """Where a stage stands among the job's own; one that it skips lies between those around it."""
    own = numbers_of(job.runs_as)
    if number in own:
        return own.index(number)
    return sum(other < number for other in own) - 0.5


def next_of(number: int, job) -> int | None:
    """The stage after this one; None after the last."""
    at = place_of(number, job)
    return next((other for place, other in enumerate(numbers_of(job.runs_as)) if place > at), None)


def guards_between(job, came_from: int, goes_to: int) -> list[Guard]:
    """Every guard on a way, in its order: leave this stage, enter and leave each between, enter that one.

    Nothing is asked of a room that goes back or stays.
    """
    start, end = place_of(came_from, job), place_of(goes_to, job)
    if end <= start:
        return []
    own = numbers_of(job.runs_as)
    asked = _at(job, stages()[came_from].key, LEAVE)
    for place, number in enumerate(own):
        if start < place <= end:
            asked += _at(job, stages()[number].key, ENTER)
        if start < place < end:
            asked += _at(job, stages()[number].key, LEAVE)
    return asked


def _at(job, stage: str, at: str) -> list[Guard]:
    template = template_of(job)
    kinds = {stage} - ({COVERED_AT} if template.closed_at != COVERED_AT else set())
    if template.closed_at and stage == template.closed_at:
        kinds.add(COVERED_AT)
    return [
        one
        for one in GUARDS.values()
        if one.at == at and one.stage in kinds and (not one.hold or one.hold in template.hold_points)
    ]


DAYS = {"H2": "inspection_on", "H3": "drywall_on"}  # a job's own day of a hold point


def next_hold(room) -> NextHold | None:
    """The first hold point that a room has not come past; None past the last one."""
    template, here = template_of(room.job), place_of(room.stage, room.job)
    labels = {stage.hold_point: stage.hold_label for stage in stages() if stage.hold_point}
    for point, key in template.hold_points.items():
        number = stage_number(key)
        held_on_leaving = point in ("H1", "H2")  # a signature and a tag are had at their stage, the others before it
        if here < place_of(number, room.job) or (held_on_leaving and room.stage == number):
            day = getattr(room.job, DAYS[point]) if point in DAYS else None
            return NextHold(point, _(labels[point]), number, day)
    return None
