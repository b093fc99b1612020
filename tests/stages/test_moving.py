"""A room moves when nothing is missing; else it stays, unless the owner passes what is missing, by name and reason."""

import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection
from django.test.utils import CaptureQueriesContext

from projects.jobs.models import Room, StageEvent
from projects.platform.permissions import Role
from projects.platform.tenancy import StaleVersion
from projects.stages import services
from projects.stages.guards import GUARDS
from projects.stages.models import GuardResult, Outcome, Pass, Said, SideEvent
from projects.stages.queries import open_passes
from tests.conftest import standing
from tests.factories import JobFactory, MemberFactory, RoomFactory, ShopFactory
from tests.shops import people_of
from tests.stages.held import Held


class Site:
    def __init__(self):
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        self.owner, self.lead = self.people[Role.OWNER], self.people[Role.CREW_LEAD]
        self.job = JobFactory(shop=self.shop)
        self.room = RoomFactory(job=self.job, stage=4)


site_standing = standing(Site)


@pytest.fixture
def site(site_standing, db):
    return site_standing


@pytest.fixture
def held():
    made = Held(safety={"enter_rough_in"})
    with made.instead():
        yield made


def now(room):
    return Room.objects.of(room.shop_id).select_related("job__shop", "shop").get(pk=room.pk)


def results(event):
    return {one.guard: one.outcome for one in event.results.all()}


# Forward


def test_a_room_with_nothing_missing_moves_and_what_was_asked_is_kept(site, held):
    event = services.move(site.room, 6, by=site.lead, note="wires pulled", waits_for="inspector")
    assert now(site.room).stage == 6 and now(site.room).waits_for == "inspector"
    asked = ("leave_released", "enter_rough_in", "leave_rough_in", "enter_inspection")
    assert results(event) == dict.fromkeys(asked, Outcome.MET)
    assert not open_passes(site.shop)


def test_what_is_missing_keeps_it_where_it_is_and_is_said_in_words(site, held):
    held.lacking = {(site.room.pk, "enter_rough_in"), (site.room.pk, "leave_rough_in")}
    with pytest.raises(services.Refused) as refused:
        services.move(site.room, 6, by=site.lead)
    [lacks] = refused.value.lacks.values()
    assert [(one.key, one.words, one.safety) for one in lacks] == [
        ("enter_rough_in", "enter_rough_in is missing.", True),
        ("leave_rough_in", "leave_rough_in is missing.", False),
    ]
    assert now(site.room).stage == 4
    assert not StageEvent.objects.filter(room=site.room).exists() and not GuardResult.objects.exists()


def test_only_the_owner_passes_and_only_what_he_names_with_a_reason(site, held):
    held.lacking = {(site.room.pk, "enter_rough_in"), (site.room.pk, "leave_released")}
    with pytest.raises(PermissionDenied):
        services.move(site.room, 5, by=site.lead, passes={"enter_rough_in": "ducts tomorrow"})
    for passes in ({}, {"enter_rough_in": "ducts tomorrow"}, {"enter_rough_in": "x", "leave_released": "  "}):
        with pytest.raises(services.Refused):
            services.move(site.room, 5, by=site.owner, passes=passes)
    assert now(site.room).stage == 4 and not Pass.objects.of(site.shop).exists()


def test_what_was_passed_stays_open_with_its_name_and_marks_nothing_done(site, held):
    held.lacking = {(site.room.pk, "enter_rough_in")}
    event = services.move(site.room, 5, by=site.owner, passes={"enter_rough_in": "ducts tomorrow"})
    assert results(event) == {"leave_released": Outcome.MET, "enter_rough_in": Outcome.PASSED}
    [passed] = open_passes(site.shop)
    assert (passed.room, passed.by, passed.why) == (site.room, site.owner, "ducts tomorrow")
    assert passed.missing == "enter_rough_in is missing." and passed.safety
    assert list(open_passes(site.room)) == [passed]
    assert not Said.objects.of(site.shop).exists()


def test_a_later_look_closes_what_is_met_and_leaves_what_is_not(site, held):
    held.lacking = {(site.room.pk, "enter_rough_in"), (site.room.pk, "leave_released")}
    services.move(site.room, 5, by=site.owner, passes={"enter_rough_in": "tomorrow", "leave_released": "lost"})
    assert services.look_again(now(site.room), by=site.lead) == 0
    held.lacking = {(site.room.pk, "leave_released")}
    services.move(now(site.room), 6, by=site.lead)  # a move looks again too, though neither is on its way
    [left] = open_passes(site.room)
    assert left.guard == "leave_released"
    met = Pass.objects.of(site.shop).get(guard="enter_rough_in")
    assert met.answered_at and met.answered_by == site.lead and met.answer == ""


def test_words_answer_a_pass_but_never_a_safety_item(site, held):
    held.lacking = {(site.room.pk, "enter_rough_in"), (site.room.pk, "leave_released")}
    services.move(site.room, 5, by=site.owner, passes={"enter_rough_in": "tomorrow", "leave_released": "lost"})
    safety, other = (Pass.objects.of(site.shop).get(guard=key) for key in ("enter_rough_in", "leave_released"))
    with pytest.raises(services.StaysOpen):
        services.answer_pass(safety, "It was fine.", by=site.owner, seen_version=safety.version)
    services.answer_pass(other, "Printed again.", by=site.lead, seen_version=other.version)
    with pytest.raises(StaleVersion):
        services.answer_pass(other, "Something else.", by=site.owner, seen_version=other.version)
    assert list(open_passes(site.room)) == [safety]
    assert Pass.objects.of(site.shop).get(pk=other.pk).answer == "Printed again."


def test_passed_anew_is_open_once(site, held):
    held.lacking = {(site.room.pk, "enter_rough_in")}
    services.move(site.room, 5, by=site.owner, passes={"enter_rough_in": "first"})
    services.back(now(site.room), 4, by=site.lead, note="framing moved")
    services.move(now(site.room), 5, by=site.owner, passes={"enter_rough_in": "second"})
    assert [one.why for one in open_passes(site.room)] == ["second"]
    assert Pass.objects.of(site.shop).count() == 2


def test_a_move_from_an_older_look_is_refused(site, held):
    seen = now(site.room).version
    services.move(site.room, 5, by=site.lead, seen_version=seen)
    with pytest.raises(StaleVersion):
        services.move(site.room, 6, by=site.lead, seen_version=seen)
    assert now(site.room).stage == 5


# Back, stay, skip


def test_back_needs_a_reason_and_asks_nothing(site, held):
    held.lacking = {(site.room.pk, key) for key in held.guards}
    with pytest.raises(services.Refused):
        services.back(site.room, 3, by=site.lead, note=" ")
    with pytest.raises(services.Refused):
        services.back(site.room, 5, by=site.lead, note="not back at all")
    event = services.back(site.room, 2, by=site.lead, note="client changed her mind")
    assert (now(site.room).stage, event.note, results(event)) == (2, "client changed her mind", {})


def test_staying_only_says_whom_it_waits_for(site, held):
    since = now(site.room).stage_since
    held.lacking = {(site.room.pk, key) for key in held.guards}
    services.move(site.room, 4, by=site.lead, waits_for="GC: framing")
    assert (now(site.room).waits_for, now(site.room).stage_since) == ("GC: framing", since)


def test_a_stage_the_job_skips_is_not_gone_to(site, held):
    job = JobFactory(shop=site.shop, runs_as="retrofit")
    room = RoomFactory(job=job, stage=6)
    with pytest.raises(services.Refused):
        services.move(room, 8, by=site.owner)
    assert results(services.move(room, 9, by=site.lead)).keys() == {"leave_inspection", "enter_trim"}


# What a person says


def test_what_a_person_has_seen_stands_until_the_room_goes_back_behind_it(site):
    room = RoomFactory(job=site.job, stage=9)
    with pytest.raises(services.Refused) as refused:
        services.move(room, 10, by=site.lead)
    asked = {lack.said for lack in refused.value.lacks[room] if lack.said}
    assert asked == {"all_fitted", "power_is_on"}
    assert not Said.objects.of(site.shop).filter(room=room).exists()
    says = {"all_fitted": "R. and M. checked", "power_is_on": "", "painted_blue": "of no such question"}
    others = {lack.key: "another part asks it" for lack in refused.value.lacks[room] if not lack.said}
    services.move(room, 10, by=site.owner, says=says, passes=others)
    assert set(Said.objects.of(site.shop).filter(room=room, stands=True).values_list("question", flat=True)) == asked
    services.back(now(room), 9, by=site.lead, note="a light fell out")
    assert not Said.objects.of(site.shop).filter(room=room, stands=True).exists()


# Held up, cancelled


def test_a_room_that_is_held_up_goes_back_but_not_on(site, held):
    services.hold(site.room, "blocked", who="Plumber", why="stack in bay 3", by=site.lead)
    stopped = now(site.room)
    assert (stopped.held_up, stopped.held_up_why, stopped.waits_for) == ("blocked", "stack in bay 3", "Plumber")
    with pytest.raises(services.Refused):
        services.move(stopped, 5, by=site.owner, passes=dict.fromkeys(held.guards, "anyway"))
    services.back(stopped, 3, by=site.lead, note="redrawn")
    services.lift(now(site.room), by=site.lead, note="stack moved")
    gone_on = now(site.room)
    assert (gone_on.held_up, gone_on.held_up_since, gone_on.waits_for) == ("", None, "")
    with pytest.raises(services.Refused):
        services.lift(gone_on, by=site.lead)
    assert list(SideEvent.objects.of(site.shop).values_list("what", "who", "why")) == [
        ("blocked", "Plumber", "stack in bay 3"), ("lifted", "", "stack moved"),
    ]  # fmt: skip


def test_a_cancelled_room_moves_nowhere_until_it_is_back(site, held):
    services.cancel(site.room, why="closet now", by=site.lead)
    gone = now(site.room)
    for change in (
        lambda: services.move(gone, 5, by=site.owner),
        lambda: services.back(gone, 3, by=site.owner, note="x"),
        lambda: services.hold(gone, "on_hold", who="A", why="b", by=site.owner),
        lambda: services.cancel(gone, why="again", by=site.owner),
    ):
        with pytest.raises(services.Refused):
            change()
    services.bring_back(gone, by=site.lead)
    services.move(now(site.room), 5, by=site.lead)
    assert now(site.room).stage == 5


# Many at once


def test_many_rooms_go_together_or_none_goes_with_each_ones_reasons(site, held):
    rooms = RoomFactory.create_batch(3, job=site.job, stage=4)
    held.lacking = {(rooms[0].pk, "leave_released"), (rooms[2].pk, "enter_rough_in")}
    with pytest.raises(services.Refused) as refused:
        services.move_all(site.shop, [room.pk for room in rooms], 5, by=site.lead)
    assert {room.pk: [one.key for one in lacks] for room, lacks in refused.value.lacks.items()} == {
        rooms[0].pk: ["leave_released"], rooms[2].pk: ["enter_rough_in"],
    }  # fmt: skip
    assert {now(room).stage for room in rooms} == {4}
    held.lacking = set()
    services.move_all(site.shop, [room.pk for room in rooms], 5, by=site.lead)
    assert {now(room).stage for room in rooms} == {5}
    assert GuardResult.objects.filter(event__room__in=rooms).count() == 6


def test_rooms_of_another_shop_are_not_among_them(site, held):
    with pytest.raises(Room.DoesNotExist):
        services.move_all(site.shop, [site.room.pk, RoomFactory(stage=4).pk], 5, by=site.lead)
    assert now(site.room).stage == 4


def test_an_owner_passes_for_his_own_shop_alone(held):
    elsewhere = RoomFactory(stage=4)
    with pytest.raises(Room.DoesNotExist):
        services.move_all(MemberFactory().shop, [elsewhere.pk], 5, by=MemberFactory())


def test_many_rooms_are_read_in_as_many_queries_as_few(site):
    """With every part's own guards. Only rows that are written go in blocks, as the database takes them."""

    def queries(count):
        job = JobFactory(shop=site.shop)
        rooms = RoomFactory.create_batch(count, job=job, stage=0)
        passes = dict.fromkeys(GUARDS, "for all of them")
        with CaptureQueriesContext(connection) as seen:
            services.move_all(site.shop, [room.pk for room in rooms], 12, by=site.owner, passes=passes)
        sent = [one["sql"] for one in seen]
        return len([sql for sql in sent if not sql.startswith("INSERT")])

    assert queries(3) == queries(40)


def test_two_hundred_rooms_go_at_once(site, held):
    rooms = [room.pk for room in RoomFactory.create_batch(200, job=site.job, stage=4)]
    services.move_all(site.shop, rooms, 6, by=site.lead)
    assert Room.objects.of(site.shop).filter(pk__in=rooms, stage=6).count() == 200
    assert GuardResult.objects.filter(event__room__in=rooms).count() == 4 * 200


def test_more_than_two_hundred_are_too_many(site, held):
    with pytest.raises(ValueError):
        services.move_all(site.shop, range(1, 202), 5, by=site.lead)
