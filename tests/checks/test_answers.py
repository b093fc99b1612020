"""A checklist is answered item by item: what an answer needs, what two people say of one item, and what holds up H2."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from projects.catalogue import tables
from projects.catalogue.table_values import Checklist
from projects.jobs.models import JobRuns
from reports.checks import queries, services
from reports.checks.guards import checklist_before_inspection
from reports.checks.models import Answer, RoomKnown, Run
from reports.estimating.checklist import ASKED_ON_SITE
from tests.conftest import own_copy, standing
from tests.factories import FixtureCountFactory, FixtureTypeFactory, JobFactory, MemberFactory, RoomFactory, ShopFactory


class Site:
    """A job of two floors: two rooms with a light up, one below."""

    def __init__(self):
        self.shop = ShopFactory()
        self.lead = MemberFactory(shop=self.shop, role="crew_lead")
        self.crew = MemberFactory(shop=self.shop, role="crew")
        self.job = JobFactory(shop=self.shop)
        self.den, self.bath = (RoomFactory(job=self.job, name=name, level="Upper") for name in ("Den", "Bath"))
        self.cellar = RoomFactory(job=self.job, name="Cellar", level="Lower")
        light = FixtureTypeFactory(shop=self.shop)
        for room in (self.den, self.bath, self.cellar):
            FixtureCountFactory(room=room, fixture_type=light, count=4)


made = standing(Site)


@pytest.fixture
def site(made, db):
    return own_copy(made)


def numbers(rows):
    return {row.item.number for row in rows}


# What an answer needs


@pytest.mark.parametrize("outcome", ["fail", "n-a"])
def test_a_fail_and_an_n_a_need_words(site, outcome):
    with pytest.raises(services.NotAnswered) as refused:
        services.answer(site.den, 13, outcome, by=site.crew, reason="  ")
    assert refused.value.field == "reason"
    assert services.answer(site.den, 13, outcome, by=site.crew, reason="String off 1/4 in at A3").reason


def test_an_item_that_is_not_in_the_list_and_an_outcome_that_is_none_are_refused(site):
    for number, outcome in ((47, "pass"), (0, "pass"), (13, "maybe"), (13, "")):
        with pytest.raises(services.NotAnswered):
            services.answer(site.den, number, outcome, by=site.crew)
    assert not Answer.objects.exists()


def test_each_answer_says_who_and_when_and_the_one_before_it_stays_to_be_read(site):
    first = services.answer(site.den, 13, "fail", by=site.crew, reason="Row 2 off")
    second = services.answer(site.den, 13, "pass", by=site.lead, base=first.version)
    [row] = [row for row in queries.sheet_of(site.den).rows if row.item.number == 13]
    assert (row.answer, row.before) == (second, (first,))
    assert (row.answer.by, row.before[0].by, row.before[0].reason) == (site.lead, site.crew, "Row 2 off")
    assert row.answer.at >= row.before[0].at


# Two people, one item


def test_the_same_outcome_from_two_people_is_one_answer(site):
    kept = services.answer(site.den, 13, "pass", by=site.crew)
    assert services.answer(site.den, 13, "pass", by=site.lead) == kept
    assert Answer.objects.count() == 1


def test_the_same_outcome_with_other_words_keeps_the_words_of_both(site):
    services.answer(site.den, 13, "fail", by=site.crew, reason="A3 is off")
    kept = services.answer(site.den, 13, "fail", by=site.lead, reason="B2 is off")
    assert kept.reason.splitlines() == ["A3 is off", "B2 is off"]


def test_another_outcome_is_shown_to_whoever_had_not_seen_the_first(site):
    stands = services.answer(site.den, 13, "pass", by=site.crew)
    with pytest.raises(services.AnsweredOtherwise) as other:
        services.answer(site.den, 13, "fail", by=site.lead, reason="A3 is off")
    assert (other.value.theirs, other.value.mine, other.value.reason) == (stands, "fail", "A3 is off")
    assert services.answer(site.den, 13, "fail", by=site.lead, reason="A3 is off", base=1).version == 2


# Once for the job, once for the floor, for each room


def test_the_permit_is_asked_once_for_the_job_and_power_off_once_for_the_floor(site):
    services.answer(site.den, 1, "pass", by=site.crew, reason="Permit 26-1188, R. holds the license")
    services.answer(site.den, 3, "pass", by=site.crew)
    services.answer(site.den, 13, "pass", by=site.crew)
    answered = {room: numbers(queries.sheet_of(room).answered) for room in (site.den, site.bath, site.cellar)}
    assert answered == {site.den: {1, 3, 13}, site.bath: {1, 3}, site.cellar: {1}}
    assert numbers(queries.sheet_of_job(site.job).answered) == {1}
    assert numbers(queries.sheet_of_job(site.job, "Upper").answered) == {3}


def test_what_is_asked_of_each_room_is_not_answered_for_the_job(site):
    with pytest.raises(services.NotAnswered):
        services.answer_for(site.job, 13, "pass", by=site.lead)


# What a room has decides what it is asked


def asked(room):
    return {row.item.number: row.bearing.value for row in queries.sheet_of(room).rows if row.asked}


def test_a_room_of_lights_on_a_board_lid_is_asked_neither_for_speakers_nor_for_a_grid_nor_for_an_isolated_lid(site):
    """By hand, of 46: not 23 (isolated), 36 (grid), 40 (speakers)."""
    assert set(range(1, 47)) - asked(site.den).keys() == {23, 36, 40}


@pytest.mark.parametrize(("system", "item"), [("isolated", 23), ("grid", 36)])
def test_an_isolated_lid_and_a_grid_bring_their_items(site, system, item):
    site.den.ceiling_system = system
    assert asked(site.den)[item] == "yes"


@pytest.mark.parametrize(
    ("name", "item"),
    [("fire_rated", 21), ("attic", 6), ("sawn_joists", 10), ("engineered_lumber", 11)],
)
def test_what_nobody_said_is_asked_and_what_was_said_is_gone_by(site, name, item):
    nobody = dict.fromkeys(ASKED_ON_SITE)
    assert asked(site.den)[item] == "ask"
    known = services.tell(site.den, 0, {**nobody, name: True}, by=site.crew)
    assert asked(site.den)[item] == "yes"
    services.tell(site.den, known.version, {**nobody, name: False}, by=site.crew)
    assert item not in asked(site.den)


@pytest.mark.parametrize(
    ("runs_as", "year", "bearing"),
    [
        (JobRuns.NEW_WORK, None, "ask"),
        (JobRuns.RETROFIT, None, "yes"),  # taken for an old one until somebody knows
        (JobRuns.RETROFIT, 1980, "yes"),  # 29 CFR 1926.1101(b), presumed: installed no later than 1980; from memory
        (JobRuns.RETROFIT, 1981, None),
        (JobRuns.NEW_WORK, 1950, "yes"),
    ],
)
def test_asbestos_and_lead_are_asked_by_how_old_the_building_is(site, runs_as, year, bearing):
    site.job.runs_as, site.job.year_built = runs_as, year
    site.job.save()
    assert asked(site.den).get(4) == bearing
    of_the_job = {row.item.number for row in queries.sheet_of_job(site.job).rows if row.asked}
    assert (4 in of_the_job) == (bearing is not None)


def test_an_answer_stays_when_the_room_changes_so_that_it_is_no_longer_asked(site):
    site.den.ceiling_system = "grid"
    site.den.save()
    services.answer(site.den, 36, "pass", by=site.crew)
    site.den.ceiling_system = "board"
    site.den.save()
    assert 36 in numbers(queries.sheet_of(site.den).asked)


# Nothing is ticked for safety by the dozen


def test_the_rest_of_a_group_is_passed_without_its_cautions_and_what_the_inspection_waits_for(site):
    """By hand: of Wiring for one board room 25 to 29 and 31 to 35 hold it from the inspection: 30 is left."""
    services.answer(site.den, 26, "fail", by=site.crew, reason="Sheath short at box 2")
    assert services.pass_rest(site.den, "Wiring", by=site.crew) == 1
    sheet = queries.sheet_of(site.den)
    assert numbers(sheet.answered) == {26, 30}
    assert numbers(sheet.failed) == {26}
    assert not any(row.item.caution for row in sheet.answered)


@pytest.mark.parametrize("group", ["Before", "Structure", "Life safety", "Fixture", "nothing"])
def test_no_press_ever_answers_a_caution(site, group):
    services.pass_rest(site.den, group, by=site.crew)
    assert not any(row.item.caution or row.item.holds for row in queries.sheet_of(site.den).answered)


# What holds up the inspection


HOLDING = {1, 3, 4, 9, 10, 11, 18, 20, 21, 24, 25, 26, 27, 28, 29, 31, 32, 33, 34, 35, 37}


def answer_all(room, by, but=()):
    for row in queries.sheet_of(room).rows:
        if row.item.holds and row.asked and row.item.number not in but:
            outcome, reason = ("pass", "") if row.bearing == "yes" else ("n-a", "Looked: none here")
            services.answer(room, row.item.number, outcome, by=by, reason=reason)


def test_the_inspection_waits_for_each_item_of_the_required_part_and_names_them(site):
    [(room_id, words)] = checklist_before_inspection([site.den]).items()
    assert room_id == site.den.pk
    assert words.startswith("Checklist items 1, 3, 4, 9, 10, 11, 18, 20 and 13 more are not answered.")
    assert {item.number for item, _outcome in queries.standing_of([site.den])[site.den.pk].holding} == HOLDING


@pytest.mark.parametrize("number", sorted(HOLDING))
def test_one_item_alone_holds_it_up(site, number):
    answer_all(site.den, site.crew, but={number})
    assert checklist_before_inspection([site.den])[site.den.pk].startswith(f"Checklist item {number} is not answered.")
    assert checklist_before_inspection([site.bath]) != {}


def test_a_fail_holds_it_up_and_an_answered_list_lets_it_go(site):
    answer_all(site.den, site.crew)
    assert checklist_before_inspection([site.den]) == {}
    services.answer(site.den, 24, "fail", by=site.lead, reason="No plate at the header", base=1)
    assert checklist_before_inspection([site.den])[site.den.pk].startswith("Checklist item 24 failed.")


def test_two_hundred_rooms_cost_as_many_queries_as_one(site):
    def cost(rooms):
        with CaptureQueriesContext(connection) as asked:
            checklist_before_inspection(rooms)
        return len(asked)

    answer_all(site.den, site.crew)
    many = [RoomFactory(job=site.job, level=str(n % 5)) for n in range(40)]
    assert cost([site.den, site.bath, *many]) == cost([site.den]) <= 8


# What was answered stays what it was


def test_a_later_edition_of_the_list_changes_nothing_that_was_begun(site, monkeypatch):
    services.answer(site.den, 13, "pass", by=site.crew)
    now = tables.checklist()
    later = Checklist("2031-01", now.closing, now.groups, now.items[:20])
    for module in (queries, services):
        monkeypatch.setattr(module, "checklist", lambda: later)
    den, bath = queries.sheet_of(site.den), queries.sheet_of(site.bath)
    assert 46 in numbers(den.rows) and 46 not in numbers(bath.rows)
    assert den.versions == ("2026-11",) and bath.versions == ("2031-01",)
    assert next(row.item.text for row in den.rows if row.item.number == 13) == now.items[12].text


def test_progress_counts_what_is_asked_answered_and_failed(site):
    """43 of 46 bear on the den or are asked (23, 36 and 40 aren't)."""
    services.answer(site.den, 1, "pass", by=site.crew)
    services.answer(site.den, 13, "fail", by=site.crew, reason="off")
    assert queries.progress([site.den, site.cellar]) == {site.den.pk: (2, 43, 1), site.cellar.pk: (1, 43, 0)}


def test_a_run_is_begun_once(site):
    for _each in range(2):
        services.answer(site.den, 13, "pass", by=site.crew)
    assert Run.objects.of(site.shop).count() == 1
    assert not RoomKnown.objects.of(site.shop).exists()
