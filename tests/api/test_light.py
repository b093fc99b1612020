"""A room's light over the API: set, computed and read as on the pages, and what is wrong is told by its place."""

import pytest

from layout.engine.lengths import inches
from layout.light.models import LightSetup, MeterReading
from projects.catalogue.models import FixtureType
from projects.platform.permissions import Role
from tests.api.houses import wrong_at
from tests.factories import LightSetupFactory
from tests.shops import tape_room

pytestmark = pytest.mark.django_db

DESK = {"name": "Desk", "kind": "flat", "height": "30 in", "from_left": "10 in", "from_door": "10 in", "wide": "48 in",
        "deep": "24 in"}  # fmt: skip
READING = {"on": "level", "from_left": "80 in", "from_door": "44 in", "height": "30 in", "value": 31.5, "unit": "fc",
           "instrument": "Meter 2", "taken_by": "R.", "taken_on": "2026-05-03"}  # fmt: skip


@pytest.fixture
def lit(house):
    """The house's room, 96 in high, its lights 800 lm in a beam of 60 degrees."""
    tape_room(house.room, "framing", "166", "93", height="96")
    FixtureType.objects.of(house.shop).filter(pk=house.light.pk).update(lumens=800, beam_deg=60)
    return house


def put(house, body, role=Role.CREW_LEAD):
    return house.ask(role).edit("PUT", house.address("light_setup"), body)


def test_what_put_takes_is_what_get_gives(house):
    body = {"wall_percent": 40, "far_percent": 12, "plane": "36 in", "lld": "0.9", "target": 30, "target_unit": "fc",
            "zones": [{"letter": "A", "dim_percent": 70}], "aims": [{"row": 1, "number": 2, "tilt_deg": 25}],
            "tasks": [DESK]}  # fmt: skip
    first = put(house, body)
    assert first.status_code == 200, first.content
    told = first.json()
    assert (told["wall_percent"], told["ceiling_percent"], told["lld"]) == (40, 80, "0.900")
    assert told["tasks"][0]["wide"]["nm"] == int(inches(48))
    again = put(house, told)
    assert again.status_code == 200 and again.json() == told


def test_what_is_left_out_is_as_usual_or_not_there(house):
    put(house, {"wall_percent": 40, "tasks": [DESK]})
    told = put(house, {}).json()
    assert (told["wall_percent"], told["tasks"], told["target_unit"]) == (50, [], "fc")


def test_what_is_wrong_is_told_by_its_place_and_nothing_is_kept(house):
    wrong = {"wall_percent": 99, "colour": "white", "zones": [{"letter": "A"}, {"letter": "A"}],
             "aims": [{"row": 1, "number": 1, "tilt_deg": 120}], "tasks": [DESK | {"wide": 48}]}  # fmt: skip
    told = wrong_at(put(house, wrong))
    assert set(told) == {"/wall_percent", "/colour", "/zones/1", "/aims/0/tilt_deg", "/tasks/0/wide"}
    assert not LightSetup.objects.of(house.shop).exists()


def test_a_setup_that_was_changed_meanwhile_is_not_written_over(house):
    LightSetupFactory(room=house.room)
    asker, address = house.ask(Role.CREW_LEAD), house.address("light_setup")
    tag = asker.get(address)["ETag"]
    LightSetup.objects.of(house.shop).filter(room=house.room).update(version=9)
    assert asker.send("PUT", address, {"wall_percent": 30}, If_Match=tag).status_code == 412


def test_the_rooms_light_is_told_in_lux_at_any_level(lit):
    asker, address = lit.ask(Role.VIEWER), lit.address("room_light")
    full = asker.get(address)
    assert full.status_code == 200, full.content
    told = full.json()
    assert told["plane_min_lx"] < told["plane_avg_lx"] < told["plane_max_lx"]
    assert [wall["name"] for wall in told["walls"]] == ["door wall", "right wall", "far wall", "left wall"]
    half = asker.get(address + "?dims=A%3D50").json()
    assert half["plane_avg_lx"] == pytest.approx(told["plane_avg_lx"] / 2)
    assert half["digest"] == told["digest"]


@pytest.mark.parametrize("dims", ["A%3D101", "B%3D50", "A50", "dark"])
def test_a_level_that_is_none_is_refused(lit, dims):
    answer = lit.ask(Role.VIEWER).get(lit.address("room_light") + f"?dims={dims}")
    assert answer.status_code == 400 and answer.json()["errors"][0]["parameter"] == "dims"


def test_a_room_that_lacks_something_says_what_it_takes(house):
    told = house.ask(Role.VIEWER).get(house.address("room_light"))
    assert told.status_code == 422
    assert "The height was not taped." in told.json()["detail"] and "lumens" in told.json()["detail"]


def test_a_reading_is_added_with_what_was_predicted_and_listed(lit):
    asker, address = lit.ask(Role.CREW), lit.address("meter_readings")
    added = asker.post(address, READING | {"dims": [{"zone": "A", "percent": 50}]})
    assert added.status_code == 201, added.content
    told = added.json()
    assert told["dims"] == {"A": 50} and told["predicted_lx"] > 0 and told["value"] == "31.50"
    assert [one["id"] for one in asker.get(address).json()["results"]] == [told["id"]]


def test_a_reading_that_can_not_be_is_refused_by_its_place(lit):
    wrong = READING | {"value": -1, "height": None, "dims": [{"zone": "Z", "percent": 50}], "who": "R."}
    told = wrong_at(lit.ask(Role.CREW).post(lit.address("meter_readings"), wrong))
    assert set(told) == {"/value", "/height", "/dims/0", "/who"}
    assert not MeterReading.objects.of(lit.shop).exists()


def test_other_distances_off_the_wall_are_compared_by_their_light(lit):
    """What the page's chart has, as numbers; nearer to the wall it is brighter, as the page says."""
    asker, address = lit.ask(Role.VIEWER), lit.address("light_compare")
    told = asker.get(address + "?low=12 in&high=36 in&step=12 in&modes=wall_held")
    assert told.status_code == 200, told.content
    points = sorted(told.json()["points"], key=lambda one: one["off_wall_m"])
    assert [round(one["off_wall_m"] / 0.0254) for one in points] == [12, 24, 36]
    assert [one["wall_over_plane"] for one in points] == sorted((o["wall_over_plane"] for o in points), reverse=True)
    wrong = asker.get(address + "?step=1/8 in&modes=sideways")
    assert {error["parameter"] for error in wrong.json()["errors"]} == {"step", "modes"}


def test_a_layout_nobody_searched_for_is_not_taken(lit):
    asker, draft = lit.ask(Role.CREW_LEAD), lit.address("draft")
    body = {"work": 1, "number": 0, "setup_version": 1, "reason": "Brighter walls"}
    told = asker.send("POST", lit.address("take_light_proposal"), body, If_Match=asker.get(draft)["ETag"])
    assert told.status_code == 422 and "searched" in told.json()["detail"]
    assert asker.post(lit.address("take_light_proposal"), body).status_code == 428


def test_light_that_is_there_already_is_not_worked_out_again(lit):
    told = lit.ask(Role.CREW_LEAD).post(lit.address("work_out_light"))
    assert told.status_code == 422 and "there to be read" in told.json()["detail"]
