"""What stands overhead over the API: read whole, written whole, every row by the page's rules."""

import pytest

from layout.engine.lengths import inches
from projects.platform.permissions import Role
from tests.api.houses import problem_of, wrong_at

IN = 25_400_000


@pytest.fixture
def at(house):
    return house.address("ceiling")


def whole(**parts):
    return {
        "framing": "found",
        "joists": [{"first_from": "left", "first": "11 in", "spacing": "19.2 in", "width": "1 1/2 in"}],
        "things": [{"what": "smoke_alarm", "x": "60 in", "y": "40 in", "wide": "6 in", "round": True}],
        "grid": {"pitch_x": "24 in", "pitch_y": "24 in"},
        "slope": {"along": "door_far", "rise": "4 in", "run": "12 in"},
        "outline": [{"x": "0 in", "y": "0 in"}, {"x": "150 in", "y": "0 in"}, {"x": "150 in", "y": "77 in"}],
        "regions": [{"name": "tray", "rise": "8 in", "below": True, "corners": [{"x": "10 in", "y": "10 in"}]}],
    } | parts


def test_nothing_entered_yet_is_empty_lists(house, at):
    told = house.ask().get(at).json()
    assert (told["framing"], told["joists"], told["things"], told["grid"]) == ("", [], [], None)


def test_what_is_written_is_read_back_and_may_be_sent_again_as_it_was_read(house, at):
    ask = house.ask(Role.CREW_LEAD)
    assert ask.edit("PUT", at, whole()).status_code == 200
    told = ask.get(at).json()
    assert told["joists"][0]["spacing"]["nm"] == 487_680_000
    assert told["things"][0]["name"] == "Smoke alarm" and told["things"][0]["deep"]["nm"] == 6 * IN
    assert told["regions"][0]["below"] and told["regions"][0]["rise"]["nm"] == 8 * IN
    assert len(told["outline"]) == 3
    assert ask.edit("PUT", at, told).json() == told
    region = house.room.ceiling.regions.get()
    assert region.rise == (-inches(8)).exact()


def test_what_is_left_out_is_not_there(house, at):
    ask = house.ask()
    ask.edit("PUT", at, whole())
    told = ask.edit("PUT", at, {"framing": "none"}).json()
    assert (told["framing"], told["joists"], told["things"], told["slope"]) == ("none", [], [], None)


@pytest.mark.parametrize(
    ("parts", "where"),
    [
        ({"joists": [{"first_from": "left", "first": "11 in", "width": "1 1/2 in"}]}, "/joists/0/spacing"),
        ({"joists": "16"}, "/joists"),
        ({"things": [{"what": "kite", "x": "1 in", "y": "1 in", "wide": "1 in", "deep": "1 in"}]}, "/things/0/what"),
        ({"things": [{"what": "duct", "x": "1 in", "y": "1 in", "wide": "1 in"}]}, "/things/0/deep"),
        ({"things": [{"what": "duct", "x": "1 in", "y": 1, "wide": "1 in", "deep": "1 in"}]}, "/things/0/y"),
        ({"grid": {"pitch_x": "24 in"}}, "/grid/pitch_y"),
        ({"slope": {"along": "door_far", "rise": "1 in"}}, "/slope/run"),
        ({"outline": [{"x": "400 ft", "y": "0 in"}]}, "/outline/0/x"),
        ({"regions": [{"name": "a", "rise": "1 in", "corners": [{"x": "1 in"}]}]}, "/regions/0/corners/0/y"),
        ({"regions": [{"name": "a", "rise": "1 in"}] * 2}, "/regions/1/name"),
        ({"joists": [], "members": []}, "/framing"),
        ({"ducts": []}, "/ducts"),
        ({"outline": [{"x": "0 in", "y": "0 in"}] * 501}, "/outline"),
    ],
)
def test_each_fault_is_named_by_its_place(house, at, parts, where):
    ask = house.ask()
    assert where in wrong_at(ask.edit("PUT", at, whole(**parts)))
    assert ask.get(at).json()["joists"] == []


def test_more_corners_than_a_room_takes_with_its_parts_counted_in_is_said(house, at):
    corners = [{"x": "0 in", "y": "0 in"}] * 300
    tray = {"name": "a", "rise": "1 in", "corners": corners}
    told = house.ask().edit("PUT", at, whole(outline=corners, regions=[tray]))
    assert "600 corners" in problem_of(told)["detail"]


def test_another_clearance_is_for_who_lays_out_and_needs_a_note(house, at):
    thing = {"what": "register", "x": "60 in", "y": "40 in", "wide": "14 in", "deep": "8 in", "clear": "2 in"}
    assert "/things/0/note" in wrong_at(house.ask().edit("PUT", at, whole(things=[thing])))
    noted = thing | {"note": "owner, 3 May"}
    assert "/things/0/clear" in wrong_at(house.ask(Role.CREW).edit("PUT", at, whole(things=[noted])))
    assert house.ask(Role.CREW_LEAD).edit("PUT", at, whole(things=[noted])).status_code == 200


def test_of_two_who_write_the_second_is_told_both(house, at):
    ask = house.ask()
    seen = ask.get(at)["ETag"]
    ask.edit("PUT", at, whole())
    told = problem_of(ask.send("PUT", at, {"framing": "none"}, If_Match=seen), 412)
    assert (told["yours"]["framing"], told["theirs"]["framing"]) == ("none", "found")


def test_a_draft_holds_lines_marks_and_zones(house):
    ask, draft = house.ask(), house.address("draft")
    held = {
        "pins": [{"line": "column", "number": 2, "at": "75 in"}],
        "moved": [{"kind": "light", "row": 1, "number": 1, "along": "13 in", "across": "18 in"}],
        "zones": [{"name": "tray", "rows": 1, "columns": None}],
        "rows_of": "light",
        "columns_may_move": "2 in",
    }
    told = ask.edit("PATCH", draft, held).json()
    assert told["pins"][0]["at"]["nm"] == 75 * IN and told["moved"][0]["along"]["nm"] == 13 * IN
    assert told["zones"] == [{"name": "tray", "rows": 1, "columns": None}]
    assert ask.edit("PATCH", draft, {"rows": 3}).json()["pins"] == told["pins"]
    assert ask.edit("PATCH", draft, {"pins": []}).json()["pins"] == []
    twice = [{"line": "row", "number": 1, "at": "9 in"}] * 2
    assert "/pins/1" in wrong_at(ask.edit("PATCH", draft, {"pins": twice}))


def test_a_way_out_is_read_and_taken_and_a_first_joist_gives_a_revision(house, at):
    """Lights at 12, 75 and 138 in; joists at 11, 27, 43, 59, 75 in: right over the middle one."""
    ask = house.ask(Role.CREW_LEAD)
    run = {"first_from": "left", "datum": "edge", "first": "11 in", "spacing": "16 in", "width": "1 1/2 in"}
    assert ask.edit("PUT", at, {"framing": "found", "joists": [run]}).status_code == 200
    ways = ask.get(house.address("ways"))
    told = ways.json()
    assert "Won't fit" in told["clash"] and told["ways"]
    offer = told["ways"][0]
    address = house.address("ways")
    assert ask.post(address, {"key": offer["key"], "reason": "x"}).status_code == 428
    assert "/reason" in wrong_at(ask.post(address, {"key": offer["key"]}, If_Match=ways["ETag"]))
    assert "/key" in wrong_at(ask.post(address, {"key": "nothing", "reason": "x"}, If_Match=ways["ETag"]))
    taken = ask.post(address, {"key": offer["key"], "reason": "keeps the rows"}, If_Match=ways["ETag"])
    assert taken.status_code == 200
    assert ask.get(address).json()["clash"] == ""
    assert house.room.ways_taken.get().reason == "keeps the rows"


def test_a_first_joist_found_on_site_gives_a_revision_or_a_question(house, at):
    ask, address = house.ask(Role.CREW_LEAD), house.address("on_site")
    run = {"first_from": "left", "datum": "edge", "first": "4 in", "spacing": "21 in", "width": "1 1/2 in"}

    def found(**joist):
        return ask.post(address, {"joist": run | joist}, If_Match=ask.get(at)["ETag"])

    assert ask.post(address, {"joist": run}).status_code == 428
    assert "/joist/spacing" in wrong_at(found(spacing=None))
    answer = found()  # 4, 25, 46, 67, 88 and so on: 8 in and more from 12, 75 and 138
    assert answer.status_code == 201, answer.content
    assert answer.json()["revision"] == 2
    asked = found(first="12 in")  # 12, 33, 54, 75: right over lights
    assert asked.status_code == 202 and asked.json()["asked"]
    owner = house.people[Role.OWNER]
    owner.may_approve = True
    owner.save()
    reply = house.ask(Role.OWNER)
    where = house.address("answer_site_move")
    assert "/note" in wrong_at(reply.post(where, {"move": asked.json()["asked"]}))
    assert reply.post(where, {"move": asked.json()["asked"], "yes": True}).json()["revision"] == 3


def test_other_layouts_differ_in_kind_and_one_is_taken_like_a_way(house):
    ask = house.ask(Role.CREW_LEAD)
    found = ask.get(house.address("choices")).json()["results"]
    assert len({one["kind"] for one in found}) == len(found) >= 2
    seen = ask.get(house.address("draft"))["ETag"]
    taken = ask.post(house.address("ways"), {"key": found[0]["key"], "reason": "even light"}, If_Match=seen)
    assert taken.status_code == 200
    assert found[0]["key"] not in {one["key"] for one in ask.get(house.address("choices")).json()["results"]}
