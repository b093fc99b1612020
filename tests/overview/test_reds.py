"""When something is red: each rule on the day before it holds and on the day it does, by hand. No database.

The days are those of the owner's list: over 7 days waiting for the client, an inspection in under 3 days with an open
checklist, drywall in under 5 days before rough-in is complete, in the field without a signature. Common practice, no
source.
"""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from reports.rooms.facts import JobNow, Material, Money, RoomNow, ShopNow
from reports.rooms.lines import line, lines
from reports.rooms.money import completed
from reports.rooms.reds import CHECKS, reds
from reports.rooms.rules import usual_rules

TODAY = dt.date(2026, 12, 1)  # a Tuesday


def day(ahead):
    return TODAY + dt.timedelta(days=ahead)


def job(*rooms, **fields):
    dates = dict.fromkeys(("rough_in_on", "inspection_on", "drywall_on", "trim_on"))
    made = JobNow(7, "26-101", "House by the weir", "R. Orchard", "new_work", **dates | fields)
    made.rooms = [room_of(made, number, **room) for number, room in enumerate(rooms, 1)]
    return made


def room_of(made, number, *, stage, days=0, **fields):
    return RoomNow(fields.pop("id", number), made, f"Room {number}", "", stage, day(-days), **fields)


def red_keys(made, rules=None):
    return [red.rule.key for red in reds(ShopNow(TODAY, [made]), rules or usual_rules())]


def only(made):
    [red] = reds(ShopNow(TODAY, [made]), usual_rules())
    return red


def test_every_rule_of_the_table_has_a_check_and_says_itself():
    assert list(CHECKS) == list(usual_rules())
    assert all(rule.says.endswith(".") and rule.source for rule in usual_rules().values())


@pytest.mark.parametrize(("ahead", "red"), [(5, False), (4, True), (0, True), (-2, True)])
def test_drywall_in_under_five_days_is_red_before_rough_in_is_complete(ahead, red):
    """Stage 5 is rough-in, 6 its inspection: there it is complete. A bid that nobody took is in nobody's way."""
    found = red_keys(job({"stage": 5}, {"stage": 6}, {"stage": 0}, drywall_on=day(ahead)))
    assert found == (["drywall_rough_in"] if red else [])
    if red:
        one = only(job({"stage": 5}, {"stage": 6}, {"stage": 0}, drywall_on=day(ahead)))
        assert [room.id for room in one.rooms] == [1]
        assert one.days == ahead


def test_drywall_over_a_room_that_is_through_inspection_is_not_red():
    assert red_keys(job({"stage": 7}, drywall_on=day(1))) == []


@pytest.mark.parametrize(
    ("ahead", "answered", "red"), [(3, 40, False), (2, 40, True), (2, 46, False), (-1, 0, True), (2, None, False)]
)
def test_an_inspection_in_under_three_days_is_red_while_its_checklist_is_open(ahead, answered, red):
    asked = None if answered is None else 46
    made = job({"stage": 5, "answered": answered, "asked": asked}, inspection_on=day(ahead))
    assert red_keys(made) == (["inspection_checklist"] if red else [])


def test_a_checklist_still_to_answer_counts_what_is_missing_in_all_rooms():
    made = job(
        {"stage": 5, "answered": 40, "asked": 46}, {"stage": 6, "answered": 45, "asked": 46}, inspection_on=day(1)
    )
    assert only(made).count == 7


@pytest.mark.parametrize(("days", "red"), [(7, False), (8, True)])
def test_a_layout_that_waits_for_its_signature_over_seven_days_is_red(days, red):
    """Stage 3: the client or the general contractor signs the revision."""
    assert red_keys(job({"stage": 3, "days": days})) == (["waits"] if red else [])


def test_a_room_that_waits_counts_from_the_day_it_was_held_up_not_from_its_stage():
    held = {"stage": 2, "days": 20, "held_up": "on_hold", "waits_for": "Client: chooses the seat"}
    assert red_keys(job(held | {"waits_since": day(-3)})) == []
    assert red_keys(job(held | {"waits_since": day(-8)})) == ["waits"]


def test_rooms_that_wait_for_different_people_are_different_lines():
    made = job(
        {"stage": 2, "days": 9, "waits_for": "GC"}, {"stage": 2, "days": 9, "waits_for": "Client"},
        {"stage": 2, "days": 12, "waits_for": "GC"},
    )  # fmt: skip
    found = reds(ShopNow(TODAY, [made]), usual_rules())
    assert [(red.who, len(red.rooms), red.days) for red in found] == [("GC", 2, 12), ("Client", 1, 9)]


@pytest.mark.parametrize(("stage", "red"), [(3, False), (4, True), (8, True), (9, False)])
def test_a_room_in_the_field_whose_newest_revision_nobody_approved_is_red(stage, red):
    made = job({"stage": stage, "revision": 2, "approved": False, "card": 2})
    assert ("released_unapproved" in red_keys(made)) == red
    assert "released_unapproved" not in red_keys(job({"stage": stage, "revision": 2, "approved": True, "card": 2}))


def test_an_old_card_is_red_only_while_somebody_works_from_it():
    old = {"revision": 3, "approved": True, "card": 2}
    red = [stage for stage in range(13) if "stale_card" in red_keys(job({"stage": stage, **old}))]
    assert red == [4, 5, 6, 7, 8, 9]
    assert red_keys(job({"stage": 5, **old | {"card": 3}})) == []


def test_what_an_inspector_found_is_red_until_it_passes():
    red = only(job({"stage": 5, "failed": 1, "corrections": 2, "again_on": day(2)}))
    assert (red.rule.key, red.count, red.by) == ("failed_inspection", 2, day(2))


def test_what_was_passed_over_stays_red_without_a_day():
    assert red_keys(job({"stage": 9, "passes": 1})) == ["passed_guard"]


def test_a_question_from_the_site_is_red_after_a_day():
    assert red_keys(job({"stage": 5, "questions": 1, "asked_on": TODAY})) == []
    assert red_keys(job({"stage": 5, "questions": 1, "asked_on": day(-1)})) == ["site_question"]


@pytest.mark.parametrize(("ahead", "short", "red"), [(7, 2, False), (6, 2, True), (6, 0, False)])
def test_material_short_is_red_in_the_week_before_it_is_needed(ahead, short, red):
    made = job({"stage": 4, "revision": 1, "approved": True}, rough_in_on=day(ahead))
    made.material = Material(short, 0, True)
    assert red_keys(made) == (["material_short"] if red else [])


def test_a_room_that_stands_three_weeks_is_red_unless_it_waits_for_somebody():
    assert red_keys(job({"stage": 5, "days": 22})) == ["stuck"]
    assert red_keys(job({"stage": 5, "days": 21})) == []
    assert red_keys(job({"stage": 0, "days": 90}, {"stage": 12, "days": 90})) == []
    assert red_keys(job({"stage": 5, "days": 22, "waits_for": "GC"})) == ["waits"]


def test_money_is_red_only_where_it_is_seen():
    made = job({"stage": 5})
    assert red_keys(made) == []
    made.money = Money(unsigned=1, unsigned_sum=Decimal(900), oldest_sent=day(-8))
    assert red_keys(made) == ["unsigned_change"]
    made.money = Money(contract=Decimal(10_000), completed=Decimal(6_000), billed=Decimal(4_000), billed_on=day(-31))
    assert red_keys(made) == ["unbilled"]
    assert only(made).amount == 2_000
    made.money.billed_on = day(-30)
    assert red_keys(made) == []


def test_a_shop_sets_its_own_days_and_may_watch_a_rule_no_longer():
    made = job({"stage": 5}, drywall_on=day(8))
    own = replace(usual_rules()["drywall_rough_in"], days=9)
    assert red_keys(made, usual_rules() | {own.key: own}) == [own.key]
    assert red_keys(made, usual_rules() | {own.key: replace(own, watched=False)}) == []


# Lines


def test_a_line_is_one_sentence_with_who_what_where_by_when_and_why():
    red = only(job({"stage": 5}, {"stage": 4, "revision": 1, "approved": True}, drywall_on=day(4)))
    said = line(red, "USD")
    assert said.text == (
        "Crew lead: finish rough-in in 2 rooms of 26-101 House by the weir by Fri, Dec 4, or move drywall; "
        "it comes in 4 days."
    )
    assert said.href == "/rooms/?view=table&job=7&red=drywall_rough_in"
    assert ">2 rooms of 26-101 House by the weir</a> by Fri, Dec 4" in said.html
    assert said.hours == 12  # six for each room, as the table has it


def test_a_line_about_one_room_leads_to_where_it_is_answered():
    red = only(job({"id": 31, "stage": 5}, drywall_on=day(4)))
    assert line(red, "USD").href == "/rooms/31/stage/"


def test_a_line_says_for_whom_a_room_waits_and_why():
    red = only(job({"stage": 2, "days": 9, "waits_for": "Client: chooses the seat 100% <now>."}))
    said = line(red, "USD")
    assert said.text == (
        "Client must act for Room 1 of 26-101 House by the weir: chooses the seat 100% <now>; it has waited 9 days, "
        "so call today."
    )
    assert "chooses the seat 100% &lt;now&gt;" in said.html


def test_every_rule_says_a_whole_sentence():
    made = job(
        {"stage": 5, "answered": 1, "asked": 3, "failed": 1, "corrections": 1, "revision": 2, "card": 1, "passes": 2,
         "questions": 1, "asked_on": day(-2)},
        {"stage": 2, "days": 30}, {"stage": 3, "days": 30},
        rough_in_on=day(2), inspection_on=day(1), drywall_on=day(2),
    )  # fmt: skip
    made.material = Material(3, 1, True)
    made.money = Money(1, Decimal(10), day(-9), Decimal(100), Decimal(60), Decimal(0), None, day(-40))
    found = lines(reds(ShopNow(TODAY, [made]), usual_rules()), "USD")
    assert {one.key for one in found} == set(CHECKS)
    for one in found:
        assert one.text.endswith(".") and "%" not in one.text and one.text.count(".") <= 2
        assert one.where in one.text


def test_what_costs_most_to_leave_comes_first_money_beside_hours():
    """Six hours for the room before drywall; 900 at 60 an hour are fifteen; half an hour for the one that stands."""
    made = job({"stage": 5}, {"stage": 2, "days": 30}, drywall_on=day(2))
    made.money = Money(1, Decimal(900), day(-9))
    found = lines(reds(ShopNow(TODAY, [made]), usual_rules()), "USD")
    assert (found[0].key, found[0].weight) == ("unsigned_change", 15)
    assert [one.weight for one in found] == sorted((one.weight for one in found), reverse=True)


# Complete, by hand


@pytest.mark.parametrize(
    ("rooms", "complete"),
    [
        ([(10, 5), (10, 6)], 0),  # rough-in is not behind
        ([(10, 7), (10, 5)], 3_000),  # half the marks at 60 %
        ([(30, 10), (10, 0)], 6_750),  # three quarters at 90 %
        ([(0, 12), (0, 12)], 10_000),  # nothing laid out: each room weighs one
        ([], 0),
    ],
)
def test_complete_is_the_contracts_part_by_lights_and_stage(rooms, complete):
    assert completed(Decimal(10_000), rooms) == complete
