"""Which stages each kind of job goes through, and that every way between them is held.

The orders are the trade's: a closed ceiling has no insulation or drywall stage, a grid is up before the lights are
trimmed and its tiles drop last, a room that is only wired ahead ends behind its drywall (common practice, no source).
"""

from itertools import pairwise

import pytest

from projects.catalogue.tables import stage_questions, stage_templates, stages
from projects.jobs.models import Job, JobRuns, Room
from projects.stages.guards import ENTER, GUARDS, LEAVE
from projects.stages.order import guards_between, name_of, next_hold, next_of, numbers_of, place_of, stages_of

KINDS = JobRuns.values


def job(kind, **days):
    return Job(runs_as=kind, **days)


def room(kind, stage, **days):
    return Room(job=job(kind, **days), stage=stage)


def test_every_kind_of_job_has_its_stages():
    assert set(stage_templates()) == set(KINDS)
    assert numbers_of("new_work") == tuple(range(13))
    assert numbers_of("retrofit") == (0, 1, 2, 3, 4, 5, 6, 9, 10, 11, 12)
    assert numbers_of("grid") == (0, 1, 2, 3, 4, 5, 6, 8, 9, 10, 11, 12)
    assert numbers_of("prewire") == (0, 1, 2, 3, 4, 5, 6, 7, 8, 12)


def test_a_grid_is_up_before_the_lights_and_its_tiles_drop_last():
    names = [name for _number, name in stages_of(job("grid"))]
    assert names.index("Grid") < names.index("Trim") < names.index("Tiles and punch")
    assert names[-2:] == ["Tiles and punch", "Close-out"]
    assert name_of(8, job("new_work")) == "Drywall / finish"


@pytest.mark.parametrize("kind", KINDS)
def test_every_step_forward_is_held_by_something(kind):
    """Nobody goes from a stage to the next without being asked."""
    own = numbers_of(kind)
    assert [(a, b) for a, b in pairwise(own) if not guards_between(job(kind), a, b)] == []


@pytest.mark.parametrize("kind", KINDS)
def test_no_way_forward_avoids_what_a_step_on_it_asks(kind):
    """A jump over stages asks all that the steps between would have asked, and no way back asks anything."""
    own = numbers_of(kind)
    for start in range(len(own)):
        for end in range(start + 1, len(own)):
            steps = [
                one.key
                for at in range(start, end)
                for one in guards_between(job(kind), own[at], own[at + 1])
            ]
            assert [one.key for one in guards_between(job(kind), own[start], own[end])] == steps
            assert guards_between(job(kind), own[end], own[start]) == []


def test_a_stage_that_a_job_skips_lies_between_those_around_it():
    """A room whose job was changed to a retrofit while it stood at drywall goes on to trim, or back to inspection."""
    closed = job("retrofit")
    assert place_of(6, closed) < place_of(8, closed) < place_of(9, closed)
    assert (next_of(7, closed), next_of(8, closed), next_of(12, closed)) == (9, 9, None)


@pytest.mark.parametrize(
    ("kind", "points"),
    [
        ("new_work", [("H1", 3), ("H2", 6), ("H3", 8), ("H4", 12)]),
        ("retrofit", [("H1", 3), ("H2", 6), ("H4", 12)]),
        ("grid", [("H1", 3), ("H2", 6), ("H3", 11), ("H4", 12)]),
        ("prewire", [("H1", 3), ("H2", 6), ("H3", 8)]),
    ],
)
def test_hold_points_come_one_after_the_other(kind, points):
    met = []
    for stage in numbers_of(kind):
        hold = next_hold(room(kind, stage))
        if hold and (hold.point, hold.stage) not in met:
            met.append((hold.point, hold.stage))
    assert met == points
    assert next_hold(room(kind, 12)) is None


def test_the_next_hold_point_has_the_jobs_own_day(settings):
    days = {"inspection_on": "2026-12-04", "drywall_on": "2026-12-09"}
    assert next_hold(room("new_work", 5, **days)).on == "2026-12-04"
    assert next_hold(room("new_work", 6, **days)).point == "H2"  # the tag is had while it is at inspection
    assert next_hold(room("new_work", 7, **days)).on == "2026-12-09"
    assert next_hold(room("new_work", 2, **days)).on is None


def test_what_covers_a_ceiling_is_asked_where_it_is_covered():
    """In a grid the tiles close it, not the tees: the owner's walk comes before the tiles."""

    def asked(kind, came_from, goes_to):
        return {one.key for one in guards_between(job(kind), came_from, goes_to)}

    assert "said_owners_walk" in asked("new_work", 7, 8)
    assert "said_owners_walk" not in asked("grid", 6, 8)
    assert "said_owners_walk" in asked("grid", 10, 11)
    assert "said_owners_walk" not in asked("retrofit", 0, 12)


def test_every_guard_stands_at_a_stage_there_is():
    keys = {stage.key for stage in stages()}
    assert {one.stage for one in GUARDS.values()} <= keys
    assert {one.at for one in GUARDS.values()} == {ENTER, LEAVE}
    assert {one.hold for one in GUARDS.values()} <= {"", "H1", "H2", "H3", "H4"}
    assert {f"said_{key}" for key in stage_questions()} <= set(GUARDS)


def test_no_question_for_a_persons_word_is_a_safety_item():
    """What can hurt someone is met where it is kept, never by saying so."""
    assert [key for key, one in GUARDS.items() if one.said and one.safety] == []
