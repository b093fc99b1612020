"""From a job to a printed card over the API, by the estimator's token; and what each step tells.

The room, summed by hand: framing 166 by 93 in, less 2 in of furring on each wall and a gap of 6 in: 150 by 77 in.
"""

import io

import pytest
from pypdf import PdfReader

from projects.catalogue.services import stock_catalog
from projects.jobs.models import Room
from projects.platform.permissions import Role
from reports.models import CardCopy
from tests.api.houses import Asker, problem_of, token_of, wrong_at
from tests.factories import MemberFactory

IN = 25_400_000
WALLS = ("door", "left", "far", "right")


def text_of(response):
    assert response["Content-Type"] == "application/pdf", response.content[:300]
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(response.content)).pages)


@pytest.mark.django_db
def test_an_estimator_goes_from_a_job_to_a_card():
    member = MemberFactory(role=Role.ESTIMATOR.value)
    stock_catalog(member.shop)
    ask = Asker(token_of(member))

    job = ask.post("/api/v1/jobs/", {"number": "26-014", "name": "Orchard house"})
    assert job.status_code == 201
    room = ask.post(f"{job['Location']}rooms/", {"name": "Snug", "ceiling_system": "cloud", "door_name": "hall door"})
    at = room["Location"]

    layers = {wall: [{"name": "furring", "thickness": "2 in"}] for wall in WALLS}
    built = {
        "ceiling_system": "cloud",
        "held_left_right": "unknown",
        "held_door_far": "unknown",
        "gaps": dict.fromkeys(WALLS, "6 in"),
        "layers": layers,
    }
    assert ask.edit("PUT", f"{at}build-up/", built).status_code == 200
    readings = {"door": [{"value": "166 in"}], "left": [{"value": "7' 9\""}], "height": [{"value": "9 ft"}]}
    visit = {"kind": "framing", "taken_on": "2026-05-03", "taken_by": "R.", "instrument": "tape", "readings": readings}
    assert ask.post(f"{at}measurements/", visit).status_code == 201
    [light] = [each for each in ask.get("/api/v1/fixture-types/?page_size=200").json()["results"]
               if each["key"] == "light_4_new"]  # fmt: skip
    counts = {"counts": [{"fixture_type": light["id"], "zone": "A", "count": 6}]}
    assert ask.edit("PUT", f"{at}counts/", counts).status_code == 200

    choices = {"rows": 2, "lights_per_row": 3, "end_setback": "12 in", "row_setback": "18 in"}
    tried = ask.post(f"{at}preview/", choices).json()
    assert tried["ceiling_along"]["nm"] == 150 * IN
    assert tried["ceiling_across"]["nm"] == 77 * IN
    # 150 less twice 12 leaves 126 between the outer lights: two gaps of 63. Rows at 18 and 77 - 18 = 59.
    assert [gap["nm"] // IN for gap in tried["along_gaps"]] == [63, 63]
    assert [(mark["id"], mark["along"]["nm"] // IN, mark["across"]["nm"] // IN) for mark in tried["marks"]] == [
        ("A1", 12, 18), ("A2", 75, 18), ("A3", 138, 18), ("A4", 12, 59), ("A5", 75, 59), ("A6", 138, 59),
    ]  # fmt: skip
    assert tried["fits"] and tried["findings"] == []
    assert ask.get(f"{at}draft/").json()["lights_per_row"] is None, "a try is not kept"

    assert ask.edit("PATCH", f"{at}draft/", choices).status_code == 200
    revision = ask.post(f"{at}revisions/", {"note": "first"})
    assert (revision.status_code, revision.json()["lights"]) == (201, 6)
    rev = revision["Location"]
    marks = ask.get(f"{rev}marks/").json()
    assert [mark["id"] for mark in marks["results"]] == ["A1", "A2", "A3", "A4", "A5", "A6"]
    assert marks["results"][1]["along"] == {"nm": 75 * IN, "text": '75"'}

    card = ask.post(f"{rev}cards/", {"held_by": "M., crew", "datum": "finished"})
    said = text_of(card)
    # From the finished wall, 6 in before the ceiling's edge: 18, 81 and 144.
    assert "Snug" in said and all(number in said for number in ("18", "81", "144"))
    [copy] = ask.get(f"{rev}cards/").json()["results"]
    assert (copy["held_by"], copy["how"], copy["by"]) == ("M., crew", "printed", member.user.name)
    [row] = ask.get("/api/v1/rooms/").json()["results"]
    assert (row["revision"], row["card"], row["old_card"]) == (1, 1, False)


def test_a_card_that_was_not_printed_is_in_nobodys_hand(house):
    ask = house.ask(Role.CREW)
    problem_of(ask.post(house.address("cards")), 400)
    problem_of(ask.post(house.address("cards"), {"held_by": "M.", "datum": "roof"}), 400)
    problem_of(ask.post(house.address("cards"), {"held_by": "M."}, Accept="application/json"), 406)
    assert not CardCopy.objects.of(house.shop).exists()


def test_a_card_is_sent_as_a_picture(house):
    sent = house.ask(Role.CREW).post(house.address("cards"), {"held_by": "M.", "how": "sent", "paper": "a4"})
    assert (sent["Content-Type"], sent.content[:4]) == ("image/png", b"\x89PNG")
    assert CardCopy.objects.of(house.shop).get().how == "sent"


@pytest.mark.parametrize("name", ["schedule", "takeoff", "checklist"])
def test_a_document_comes_as_values_or_as_paper(house, name):
    ask = house.ask(Role.VIEWER)
    assert ask.get(house.address(name))["Content-Type"] == "application/json"
    assert "Snug" in text_of(ask.get(house.address(name), Accept="application/pdf"))
    assert "Snug" in text_of(ask.get(f"{house.address(name)}?format=pdf&paper=a4"))
    problem_of(ask.get(f"{house.address(name)}?format=pdf&paper=a0"), 400)


def test_the_schedule_counts_the_holes(house):
    told = house.ask(Role.VIEWER).get(house.address("schedule")).json()
    [row] = told["rows"]
    assert (row["letter"], row["count"], row["cutout_verified_by"]) == ("A", 6, "")
    [in_room] = told["rooms"][0]["rows"]
    assert in_room["ids"] == ["A1", "A2", "A3", "A4", "A5", "A6"]
    assert in_room["zones"] == [{"zone": "A", "count": 6}]


def test_the_takeoff_tells_what_it_waits_for_and_why_each_line_is_there(house):
    told = house.ask(Role.VIEWER).get(house.address("takeoff")).json()
    assert {each["lacks"] for each in told["missing"]} >= {"height"}
    housings = [line for line in told["lines"] if line["key"].startswith("housing:")]
    assert [line["quantity"]["pieces"] for line in housings] == ["6"]
    assert all(why["source"] for line in told["lines"] for why in line["why"])


def test_a_jobs_takeoff_adds_its_rooms_up(house):
    told = house.ask(Role.ESTIMATOR).get(house.address("job_takeoff")).json()
    [housing] = [line for line in told["lines"] if line["key"].startswith("housing:")]
    assert housing["by_room"] == [{"room": "Snug", "quantity": {"text": "6", "nm": None, "pieces": "6"}}]
    assert housing["order"] == 6 + housing["spares"]
    assert "Snug" in text_of(house.ask().get(house.address("job_takeoff"), Accept="application/pdf"))


def test_the_checklist_says_what_bears_on_the_room_and_never_that_it_complies(house):
    told = house.ask(Role.VIEWER).get(house.address("checklist")).json()
    assert {item["bearing"] for item in told["items"]} <= {"yes", "ask", "no"}
    assert any(item["caution"] for item in told["items"])


def test_a_room_nobody_taped_can_not_be_laid_out_and_says_what_to_do(house):
    ask = house.ask()
    bare = ask.post(house.address("job_rooms"), {"name": "Bare"})["Location"]
    for method in (lambda: ask.post(f"{bare}preview/"), lambda: ask.post(f"{bare}revisions/")):
        assert "not taped" in problem_of(method(), 422)["detail"]
    problem_of(ask.get(house.address("job_takeoff", job_id=empty_job(ask))), 422)


def empty_job(ask):
    return ask.post("/api/v1/jobs/", {"number": "empty", "name": "Empty"}).json()["id"]


def test_a_broken_limit_is_told_not_hidden(house):
    told = house.ask().post(house.address("preview"), {"lights_per_row": 2, "spacing_limit": "72 in"}).json()
    assert told["fits"] is False
    [finding] = [each for each in told["findings"] if each["code"] == "gap_over_limit"]
    # 150 less twice 12 is one gap of 126: 54 over the limit of 72.
    assert (finding["short_by"]["nm"], finding["limit"]["nm"]) == (54 * IN, 72 * IN)
    assert "54" in finding["words"]


def test_a_copied_room_still_has_to_be_taped(house):
    told = house.ask().post(house.address("copy_room"), {"times": 2}).json()["rooms"]
    assert [room["stage"] for room in told] == [0, 0]
    visits = house.ask().get(house.address("measurements", room_id=told[0]["id"])).json()["results"]
    assert [visit["kind"] for visit in visits] == ["plan"]


def test_a_room_moves_over_the_api_when_nothing_is_missing_or_the_owner_passes_it(house):
    lead, owner, stages = house.ask(Role.CREW_LEAD), house.ask(Role.OWNER), house.address("stages")
    refused = problem_of(lead.post(stages, {"stage": 4, "waits_for": "GC: board"}), 422)
    [told] = refused["rooms"]
    lacking = {one["key"] for one in told["missing"]}
    assert {"bid_accepted", "approved_by_name"} <= lacking
    asked = owner.get(f"{house.address('stage_asks')}?stage=4").json()["asks"]
    assert {one["guard"] for one in asked if one["missing"]} == lacking
    passes = [{"guard": key, "why": "the client is my brother"} for key in sorted(lacking)]
    problem_of(lead.post(stages, {"stage": 4, "passes": passes}), 403)
    assert owner.post(stages, {"stage": 4, "waits_for": "GC: board", "passes": passes}).status_code == 201
    assert {one["guard"] for one in owner.get(house.address("open_passes")).json()["results"]} >= lacking
    problem_of(lead.post(stages, {"stage": 3}), 422)  # back, without a reason
    lead.post(stages, {"stage": 3, "note": "changed"})
    moves = lead.get(stages).json()["results"]
    assert [(each["came_from"], each["went_to"]) for each in moves[:2]] == [(4, 3), (0, 4)]
    assert {one["outcome"] for one in moves[1]["results"]} == {"met", "passed"}
    assert Room.objects.of(house.shop).get(pk=house.room.pk).waits_for == ""


def test_many_rooms_move_over_the_api_together_or_not_at_all(house):
    lead, address = house.ask(Role.CREW_LEAD), house.address("move_rooms")
    rooms = [house.room.pk, house.build("Den").pk]
    assert len(problem_of(lead.post(address, {"stage": 5, "rooms": rooms}), 422)["rooms"]) == 2
    assert lead.post(address, {"stage": 0, "waits_for": "Client", "rooms": rooms}).json() == {"moved": sorted(rooms)}
    assert set(wrong_at(lead.post(address, {"stage": 0, "rooms": [True]}))) == {"/rooms"}
    problem_of(lead.post(address, {"stage": 0, "rooms": [987654]}), 404)


def test_a_room_is_held_up_over_the_api_and_goes_on(house):
    lead = house.ask(Role.CREW_LEAD)
    held = lead.post(house.address("room_hold"), {"kind": "on_hold", "who": "Client", "why": "chooses"}).json()
    assert held == {"held_up": "on_hold", "held_up_why": "chooses", "waits_for": "Client"}
    assert lead.post(house.address("room_go_on")).json()["held_up"] == ""
    problem_of(lead.post(house.address("room_go_on")), 422)