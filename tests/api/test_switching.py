"""Switches, zones, loads and circuits over the API: as on the pages, and what is wrong is told by its place."""

import pytest

from layout.models import Draft
from projects.jobs.models import SwitchZone
from projects.platform.permissions import Role
from tests.factories import CircuitFactory, ControlTypeFactory, RoomFactory, SwitchZoneFactory

pytestmark = pytest.mark.django_db


def put(house, body, role=Role.CREW_LEAD):
    asker, address = house.ask(role), house.address("switching")
    return asker.send("PUT", address, body, If_Match=asker.get(address)["ETag"])


def test_a_suggestion_is_taken_by_sending_its_letters_as_the_drafts(house):
    asker = house.ask(Role.CREW_LEAD)
    Draft.objects.of(house.shop).filter(room=house.room).update(rows=3)
    lights = asker.get(house.address("suggested_switches")).json()["lights"]
    assert {one["purpose"] for one in lights} == {"general", "perimeter"}
    draft = house.address("draft")
    sent = {"switched": [{name: one[name] for name in ("row", "number", "zone")} for one in lights]}
    told = asker.send("PATCH", draft, sent, If_Match=asker.get(draft)["ETag"]).json()
    assert {one["zone"] for one in told["switched"]} == {"A", "B"}


def test_what_put_takes_is_what_get_gives(house):
    circuit, dimmer = CircuitFactory(job=house.job), ControlTypeFactory(shop=house.shop)
    body = {
        "zones": [
            {"letter": "A", "purpose": "general", "control": "dimmer", "control_type": dimmer.pk, "box": "door",
             "place": 1, "circuit": circuit.pk},
        ],
        "points": [
            {"what": "switch", "zone": "A", "from_left": "6 in", "from_door": "0 in", "height": "48 in",
             "beyond": "0 in"},
        ],
        "speakers": {"kind": "chained_line", "line_volts": 70.7, "tap_watts": 5, "amplifier_watts": 120},
    }  # fmt: skip
    first = put(house, body)
    assert first.status_code == 200, first.content
    again = put(house, first.json())
    assert again.status_code == 200 and again.json() == first.json()
    assert SwitchZone.objects.get(room=house.room).circuit == circuit


def test_what_is_wrong_is_told_by_its_place(house):
    other = CircuitFactory(job__shop=house.shop)
    wrong = {
        "zones": [{"letter": "a1"}, {"letter": "B", "circuit": other.pk}],
        "points": [{"what": "panel", "from_left": "1 in", "from_door": "1 in", "height": "1 in"}],
        "speakers": {"kind": "chained_line"},
    }
    told = {error["pointer"] for error in put(house, wrong).json()["errors"]}
    assert told == {"/zones/0/letter", "/zones/1/circuit", "/points/0/what", "/speakers/line_volts"}


def test_a_zone_that_stands_twice_is_refused(house):
    answer = put(house, {"zones": [{"letter": "A"}, {"letter": "A"}]})
    assert answer.json()["errors"][0]["pointer"] == "/zones/1"


def test_crew_may_not_wire_rooms(house):
    asker, address = house.ask(Role.CREW), house.address("switching")
    assert asker.send("PUT", address, {}, If_Match=asker.get(address)["ETag"]).status_code == 403


def test_a_rooms_loads_say_what_is_not_known(house):
    told = house.ask(Role.VIEWER).get(house.address("room_loads")).json()
    assert told["total"] == {"lights": 6, "watts": 0, "watts_unknown": 6, "va": 0, "va_unknown": 6}
    assert told["on_no_circuit"] == ["A"] and told["cautions"]


def test_a_circuits_number_is_used_once_in_a_job_and_a_circuit_can_be_taken_out(house):
    asker = house.ask(Role.CREW_LEAD)
    made = asker.post(house.address("job_circuits"), {"number": "L21"})
    assert made.status_code == 201 and made.json()["breaker_amps"] == 15
    twice = asker.post(house.address("job_circuits"), {"number": "L21"})
    assert twice.json()["errors"][0]["pointer"] == "/number"
    assert asker.send("DELETE", made["Location"], If_Match=made["ETag"]).status_code == 204
    assert asker.get(made["Location"]).status_code == 404


def test_a_dimmer_is_added_and_changed_from_the_version_seen(house):
    asker = house.ask(Role.ESTIMATOR)
    made = asker.post(house.address("control_types"), {"name": "Slide dimmer", "led_watts": 150})
    assert made.status_code == 201
    changed = asker.send("PATCH", made["Location"], {"side_sections": "no"}, If_Match=made["ETag"])
    assert changed.json()["side_sections"] == "no"
    assert asker.send("PATCH", made["Location"], {"min_watts": 5}, If_Match=made["ETag"]).status_code == 412


def test_the_room_a_circuits_homerun_comes_to_is_one_of_those_on_it_and_stays_when_not_sent(house):
    circuit, off_it = CircuitFactory(job=house.job), RoomFactory(job=house.job)
    SwitchZoneFactory(room=house.room, letter="A", circuit=circuit)
    asker, address = house.ask(Role.CREW_LEAD), f"/api/v1/circuits/{circuit.pk}/"

    def patch(body):
        return asker.send("PATCH", address, body, If_Match=asker.get(address)["ETag"])

    wrong = patch({"homerun_room": off_it.pk})
    assert [error["pointer"] for error in wrong.json()["errors"]] == ["/homerun_room"]
    assert patch({"homerun_room": house.room.pk}).json()["homerun_room"] == house.room.pk
    assert patch({"panel": "LP1"}).json()["homerun_room"] == house.room.pk
    assert patch({"homerun_room": None}).json()["homerun_room"] is None
