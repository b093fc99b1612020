"""What the office does over the API beside writing: files, numbers, rules, links, changes, days; as on its pages."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from projects.platform.permissions import Role
from reports.bids.models import BidRevision
from tests.api.houses import problem_of, wrong_at
from tests.factories import MemberFactory

OFFICE = Role.ESTIMATOR
FILE = b"Code,Pack,Price\nplate,1,2.50\nnonsense line,1,oops\n"


@pytest.fixture
def office(house):
    return house.ask(OFFICE)


def upload(ask, address, **parts):
    """As a browser sends a form with a file in it."""
    return ask.client.post(address, parts, headers=ask.headers)


def named(content, name):
    from io import BytesIO

    file = BytesIO(content)
    file.name = name
    return file


# Price files


def test_a_price_file_is_tried_before_it_is_applied_and_applied_whole_or_not_at_all(house, office):
    office.post(house.address("list_price_lines"))
    key = office.get(house.address("price_items")).json()["results"][0]["key"]
    good = f"Code,Pack,Price\n{key},1,2.50\n".encode()
    read = upload(office, house.address("price_files"), file=named(good, "p.csv"), source="spring", on="2026-05-03")
    assert read.status_code == 201, read.content
    one = {"import_id": read.json()["id"]}
    assert [column["means"] for column in read.json()["columns"]] == ["code", "pack", "price"]
    tried = office.post(house.address("try_price_file", **one)).json()
    assert (tried["new_count"], tried["errors"]) == (1, [])
    problem_of(office.post(house.address("apply_price_file", **one), {"digest": "0" * 64}), 422)
    applied = office.post(house.address("apply_price_file", **one), {"digest": tried["digest"]})
    assert applied.status_code == 200
    problem_of(office.post(house.address("apply_price_file", **one), {"digest": tried["digest"]}), 422)


def test_a_file_with_a_row_that_cannot_be_read_changes_nothing(house, office):
    read = upload(office, house.address("price_files"), file=named(FILE, "p.csv"), source="spring")
    one = {"import_id": read.json()["id"]}
    tried = office.post(house.address("try_price_file", **one)).json()
    assert [error["line"] for error in tried["errors"]][-1] == 3
    problem_of(office.post(house.address("apply_price_file", **one), {"digest": tried["digest"]}), 422)
    twice = {"columns": ["price", "pack", "price"]}
    assert set(wrong_at(office.post(house.address("try_price_file", **one), twice))) == {"/columns"}
    assert set(wrong_at(office.post(house.address("try_price_file", **one), {"columns": ["", "", "weight"]}))) == {
        "/columns/2"
    }
    address = house.address("price_file", **one)
    assert office.send("DELETE", address, If_Match=office.get(address)["ETag"]).status_code == 204
    assert office.get(address).json()["state"] == "dropped"


def test_what_is_no_price_file_is_refused_by_its_part(house, office):
    refused = upload(office, house.address("price_files"), file=named(b"\x00\x01\x02", "p.xlsx"), source="x")
    assert set(wrong_at(refused)) == {"/file"}
    assert set(wrong_at(upload(office, house.address("price_files"), source="x", shop="1"))) == {"/file", "/shop"}
    problem_of(office.post(house.address("price_files"), {"source": "x"}), 415)


# Labor, rules


def test_a_labor_number_is_the_shops_until_it_is_put_back_and_a_stale_one_is_refused(house, office):
    unit = office.get(house.address("labor_units")).json()["results"][0]
    key, address = unit["key"], house.address("labor_numbers")
    body = {"what": "unit", "key": key, "value": "0.75", "seen": 0}
    made = office.post(address, body)
    assert made.json()["value"] == "0.7500"
    problem_of(office.post(address, {**body, "value": "0.80"}), 422)
    back = office.post(address, {"what": "unit", "key": key, "seen": made.json()["id"]})
    assert back.json()["value"] is None
    assert set(wrong_at(office.post(address, {**body, "key": "no such"}))) == {"/key"}


def test_takeoff_rules_are_saved_with_a_reason_as_a_new_version_and_put_back(house, office):
    address = house.address("takeoff_rules")
    before = office.get(address)
    key = before.json()["rules"]["items"][0]["key"]
    sent = {"why": "Counted the last three jobs", "items": {key: {"quantity": "3"}}}
    saved = office.send("PATCH", address, sent, If_Match=before["ETag"])
    assert saved.status_code == 200, saved.content
    told = saved.json()
    assert told["number"] == before.json()["number"] + 1
    assert (told["rules"]["items"][0]["quantity"], told["rules"]["items"][0]["source"]) == ("3", "the shop's own")
    problem_of(office.send("PATCH", address, sent, If_Match=before["ETag"]), 412)
    assert set(wrong_at(office.edit("PATCH", address, {"items": {key: {"quantity": "4"}}}))) == {"/why"}
    wrong = office.edit("PATCH", address, {"why": "x", "items": {key: {"quantity": "-1"}}})
    assert set(wrong_at(wrong)) == {f"/items/{key}/quantity"}
    back = office.post(house.address("put_back_rules"), {"number": 0, "seen": told["number"]})
    assert back.json()["rules"]["items"][0]["quantity"] == before.json()["rules"]["items"][0]["quantity"]
    problem_of(office.post(house.address("put_back_rules"), {"number": 0, "seen": told["number"]}), 422)


def test_optional_items_and_feet_are_asked_for_room_by_room(house, office):
    address = house.address("room_counting")
    choices = office.get(address).json()["choices"]
    body = {"items": choices[:1], "feet": {"light": "30 ft"}}
    told = office.post(address, body).json()
    assert told["items"] == choices[:1]
    assert {feet["device"]: feet["each"] and feet["each"]["nm"] for feet in told["feet"]}["light"] == 30 * 304_800_000
    assert set(wrong_at(office.post(address, {"items": ["gold"]}))) == {"/items/0"}


# Bids


def test_two_revisions_are_told_apart_in_one_sentence_and_an_allowance_is_trued_up(house, office):
    sent = BidRevision.objects.of(house.shop).get(state="sent")
    BidRevision.objects.of(house.shop).filter(pk=sent.pk).update(valid_until=timezone.localdate())
    one = {"bid_id": sent.bid_id, "bid_revision_id": sent.pk}
    again = office.post(house.address("bid_revisions", **one)).json()
    office.post(house.address("bid_lines", bid_revision_id=again["id"]) + "?kind=sub", {"words": "X", "amount": "100"})
    compared = office.get(house.address("compare_bids", **one)).json()
    assert compared["sentence"] and compared["rows"]
    assert set(office.get(house.address("compare_bids", **one) + "?from=Z").json()["errors"][0]) >= {"parameter"}
    [link] = office.post(house.address("close_bid_links", **one)).json()[:1] or [{"revoked_at": "none"}]
    assert link["revoked_at"]
    new = office.post(house.address("bid_links", **one))
    assert new.json()["address"].startswith("http")
    problem_of(office.post(house.address("bid_allowances", **one), {"key": "1", "chosen": "12.50"}), 422)


def test_a_draft_nobody_was_sent_is_thrown_away_from_the_version_that_was_read(house, office):
    made = office.post(house.address("job_bids"), {"number": "B-77"}).json()
    address = house.address("bid", bid_id=made["bid"]["id"])
    problem_of(office.send("DELETE", address), 428)
    tag = office.get(address)["ETag"]
    assert office.edit("PATCH", house.address("bid", bid_id=made["bid"]["id"]), {"outcome": "open"}).status_code == 200
    problem_of(office.send("DELETE", address, If_Match=tag), 412)
    assert office.send("DELETE", address, If_Match=office.get(address)["ETag"]).status_code == 204
    problem_of(office.get(address), 404)


def test_the_shops_own_lists_are_lists_of_lines(house, office):
    address = house.address("bid_texts")
    kept = office.edit("PATCH", address, {"payments": ["40 % Deposit", "60 % At the end"]})
    assert kept.json()["payments"] == ["40 % Deposit", "60 % At the end"]
    assert set(wrong_at(office.edit("PATCH", address, {"payments": ["Deposit"]}))) == {"/payments"}


# Changes


def test_a_change_order_is_written_line_by_line_and_turned_down(house, office):
    opened = office.post(house.address("job_changes"), {"title": "Box moved"}).json()
    one = {"change_id": opened["id"]}
    line = office.post(house.address("change_lines", **one), {"words": "Move it", "hours": 2}).json()
    assert (line["hours"], line["material"]) == ("2.00", "0.00")
    gone = house.address("change_line", **one, typed_line_id=line["id"])
    assert office.send("DELETE", gone, If_Match=office.get(house.address("change", **one))["ETag"]).status_code == 204
    assert office.get(house.address("change_lines", **one)).json() == []
    assert set(wrong_at(office.post(house.address("change_lines", **one), {"words": "Nothing"}))) == {""}
    void = office.post(house.address("void_change", **one), {"why": "Not wanted"})
    assert (void.json()["state"], void.json()["closed_why"]) == ("void", "Not wanted")
    problem_of(office.post(house.address("reject_change", **one), {"why": "Again"}), 422)


def test_an_extra_is_charged_once_or_closed_with_a_reason(house, office):
    written = house.ask(Role.CREW).post(house.address("job_extras"), {"words": "Moved a box", "hours": 1}).json()
    one = {"extra_id": written["id"]}
    first = office.post(house.address("charge_extra", **one)).json()
    assert office.post(house.address("charge_extra", **one)).json()["id"] == first["id"]
    problem_of(office.post(house.address("close_extra", **one), {"why": "A gift"}), 422)


def test_contract_terms_start_as_the_usual_ones(house, office):
    address = house.address("contract_terms")
    assert office.get(address).json()["entered"] is False
    kept = office.edit("PATCH", address, {"restock_pct": "25"})
    assert (kept.json()["entered"], Decimal(kept.json()["restock_pct"])) == (True, Decimal(25))


# Days, the overview, clients


def test_a_person_is_planned_given_and_taken_off(house):
    lead = house.ask(Role.CREW_LEAD)
    crew, other = house.people[Role.CREW], MemberFactory(shop=house.shop, role="crew")
    body = {"member": crew.pk, "first": "2026-05-04", "last": "2026-05-05", "rooms": [house.room.pk]}
    [first, _second] = lead.post(house.address("job_crew"), body).json()
    assert len(lead.post(house.address("job_crew"), body).json()) == 2, "planned twice is one plan"
    address = house.address("crew_day", day_id=first["id"])
    assert lead.edit("PATCH", address, {"member": other.pk}).json()["name"] == other.user.name
    assert set(wrong_at(lead.edit("PATCH", address, {"member": house.people[Role.VIEWER].pk}))) == {"/member"}
    week = house.ask(Role.VIEWER).get(house.address("crew_plan") + "?from=2026-05-04").json()
    assert first["id"] in [day["id"] for day in week["days"]]
    assert lead.send("DELETE", address, If_Match="*").status_code == 204
    for asked in ("?from=2026-13-01", "?from=20260504", "?days=0", "?days=1000", "?days=1&days=2", "?until=1"):
        problem_of(lead.get(house.address("crew_plan") + asked), 400)
    assert set(wrong_at(lead.post(house.address("job_crew"), {**body, "last": "2027-05-05"}))) == {"/last"}


def test_a_calendars_address_is_told_once(house):
    crew = house.ask(Role.CREW)
    address = crew.post(house.address("own_feed")).json()["address"]
    assert crew.client.get(address).status_code == 200
    assert crew.get(house.address("own_days")).json()["feed_since"]
    assert crew.send("DELETE", house.address("own_feed")).status_code == 204
    assert crew.client.get(address).status_code == 404


def test_a_red_rule_is_changed_by_the_owner_from_what_was_read(house):
    owner, address = house.ask(Role.OWNER), house.address("red_rule")
    tag = owner.get(address)["ETag"]
    assert owner.send("PATCH", address, {"days": 9}, If_Match=tag).json()["days"] == 9
    problem_of(owner.send("PATCH", address, {"days": 10}, If_Match=tag), 412)
    assert set(wrong_at(owner.edit("PATCH", address, {"days": 9000}))) == {"/days"}
    money = [rule["key"] for rule in owner.get(house.address("red_rules")).json()["results"]]
    seen = [rule["key"] for rule in house.ask(Role.VIEWER).get(house.address("red_rules")).json()["results"]]
    assert set(seen) < set(money)


def test_a_bill_is_taken_back_by_a_row_against_it(house, office):
    made = office.post(house.address("job_billed"), {"on": "2026-05-03", "amount": "1200.00", "words": "Rough-in"})
    back = house.address("take_back_billed", billed_id=made.json()["id"])
    assert office.post(back).json()["taken_back_by"]
    problem_of(office.post(back), 422)
    rows = office.get(house.address("job_billed")).json()["results"]
    assert sorted(row["amount"] for row in rows)[:1] == ["-1200.00"]


def test_a_clients_link_shows_the_newest_revision_and_is_closed(house, office):
    made = office.post(house.address("client_links"), {"message": "Is it as you want it?"})
    assert made.status_code == 201, made.content
    assert dt.date.fromisoformat(made.json()["expires_on"]) == timezone.localdate() + dt.timedelta(30)
    one = {"approval_id": made.json()["id"]}
    assert office.post(house.address("close_client_link", **one)).json()["revoked_at"]
    assert office.get(house.address("client_answers") + "?waits=true").json()["count"] == 1
    assert office.post(house.address("see_to_answer")).json()["seen_to_by"] == house.people[OFFICE].user.name
    assert office.get(house.address("client_answers") + "?waits=true").json()["count"] == 0


# Figures, the field


def test_a_figure_is_reckoned_and_one_of_money_is_not_there_for_the_crew(house):
    crew, office = house.ask(Role.CREW), house.ask(OFFICE)
    named = {one["figure"]: one for one in office.get(house.address("figures") + "?page_size=200").json()["results"]}
    for one in list(named.values())[:5]:
        inputs = {each["name"]: each["example"] for each in one["inputs"]}
        done = crew.post(house.address("figure", figure_name=one["figure"]), {"inputs": inputs})
        assert done.status_code == 200, (one["figure"], done.content)
    seen = {one["figure"] for one in crew.get(house.address("figures") + "?page_size=200").json()["results"]}
    [money, *_others] = sorted(named.keys() - seen)
    problem_of(crew.post(house.address("figure", figure_name=money), {"inputs": {}}), 404)


def test_a_room_has_one_note_and_two_who_write_at_once_are_asked(house):
    crew, address = house.ask(Role.CREW), house.address("site_note")
    tag = crew.get(address)["ETag"]
    assert crew.send("PATCH", address, {"text": "Saw is in the hall"}, If_Match=tag).json()["version"] == 1
    stale = crew.send("PATCH", address, {"text": "Ladder is out"}, If_Match=tag)
    assert problem_of(stale, 412)["theirs"] == {"text": "Saw is in the hall"}
