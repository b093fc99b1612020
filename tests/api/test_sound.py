"""A room's sound over the API: set whole, read back alike, refused by place; figures as the pages tell them."""

import pytest

from layout.sound.models import Seat
from projects.platform.permissions import Role
from tests.api.houses import problem_of, wrong_at
from tests.listening import enter, listening_room

pytestmark = pytest.mark.django_db

BODY = {
    "setup": {"use": "listening", "system": "BS.775 3/2", "ear_height": "45 in", "target_db": 80},
    "seats": [{"x": "90 in", "y": "72 in", "main": True}, {"x": "90 in", "y": "40 in", "ear_height": "50 in"}],
    "screen": {"wall": "far", "center": "90 in", "width": "100 in"},
    "roles": [{"mark": "SP3", "channel": "L"}],
    "subs": [{"x": "12 in", "y": "12 in", "placed": True}],
    "materials": [
        {"surface": "floor", "material": "concrete"},
        {"surface": "left", "material": "gypsum_studs", "percent": 80},
        {"surface": "left", "material": "window_glass", "percent": 20},
    ],
}


def put(house, body):
    return house.ask(Role.CREW_LEAD).edit("PUT", house.address("sound"), body)


def test_what_put_takes_is_what_get_gives(house):
    first = put(house, BODY)
    assert first.status_code == 200, first.content
    told = first.json()
    assert told["setup"]["leeway_deg"] == 5 and told["seats"][0]["main"]
    assert told["subs"][0]["height"]["text"] == '10"'
    again = put(house, told)
    assert again.status_code == 200 and again.json() == told
    assert put(house, {}).json()["seats"] == [] and not Seat.objects.exists()


def test_nothing_entered_yet_reads_as_a_room_starts(house):
    told = house.ask(Role.VIEWER).get(house.address("sound")).json()
    assert (told["setup"]["use"], told["setup"]["system"], told["screen"], told["seats"]) == ("listening", "", None, [])


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"seats": [{"x": "90 in"}]}, "/seats/0/y"),
        ({"seats": [{"x": 90, "y": "72 in"}]}, "/seats/0/x"),
        ({"setup": {"system": "twelve trumpets"}}, "/setup/system"),
        ({"setup": {"leeway_deg": 60}}, "/setup/leeway_deg"),
        ({"screen": {"center": "90 in", "width": "100 in"}}, "/screen/wall"),
        ({"roles": [{"mark": "SP1", "channel": "L"}, {"mark": "SP1", "channel": "R"}]}, "/roles/1"),
        ({"roles": [{"mark": "the left one", "channel": "L"}]}, "/roles/0/mark"),
        ({"materials": [{"surface": "left", "material": "velvet"}]}, "/materials/0/material"),
        ({"materials": [{"surface": "left", "material": "concrete", "percent": 40}]}, "/materials"),
        ({"seats": [{"x": "1 in", "y": "1 in"}] * 25}, "/seats"),
        ({"horns": []}, "/horns"),
    ],
)
def test_what_is_wrong_is_told_by_its_place(house, change, place):
    assert place in wrong_at(put(house, BODY | change))


def test_a_change_from_an_old_reading_is_refused_with_both(house):
    asker, address = house.ask(Role.CREW_LEAD), house.address("sound")
    old = asker.get(address)["ETag"]
    put(house, BODY)
    problem_of(asker.send("PUT", address, BODY, If_Match=old), 412)
    problem_of(asker.send("PUT", address, BODY), 428)


def test_crew_may_read_and_not_set(house):
    asker, address = house.ask(Role.CREW), house.address("sound")
    assert asker.send("PUT", address, BODY, If_Match=asker.get(address)["ETag"]).status_code == 403


def test_what_can_not_be_told_says_what_it_takes(house):
    asker = house.ask(Role.VIEWER)
    for name in ("sound_angles", "sound_coverage", "sound_low"):
        told = asker.get(house.address(name)).json()
        assert told["missing"], name


def test_figures_are_those_of_the_pages(house):
    """30 in left and 36 in ahead are 39.8 degrees; 60 in over the ears circles of 120 in; half a wave 37.5 Hz."""
    room = listening_room(house.shop)
    enter(room)
    asker = house.ask(Role.VIEWER)
    angles = asker.get(house.address("sound_angles", room_id=room.pk)).json()
    assert angles["speakers"][0]["seats"][0]["azimuth_deg"] == pytest.approx(39.806, abs=0.001)
    coverage = asker.get(house.address("sound_coverage", room_id=room.pk)).json()
    assert coverage["circle_m"] == pytest.approx(3.048) and coverage["taps_w"] is None
    low = asker.get(house.address("sound_low", room_id=room.pk)).json()
    assert low["modes"][0]["hz"] == pytest.approx(37.533, abs=0.005) and len(low["best"]) == 4


def test_a_material_stands_once_on_a_surface_and_only_where_the_table_has_it(house):
    """As on the page, which offers no carpet for a wall and shows each surface's parts once."""
    half = {"surface": "floor", "material": "concrete", "percent": 50}
    assert "/materials" in wrong_at(put(house, {"materials": [half, half]}))
    assert "/materials/0/material" in wrong_at(
        put(house, {"materials": [{"surface": "left", "material": "carpet_on_pad"}]})
    )


def test_a_choice_between_looks_and_angle_is_read_and_taken(house):
    room = listening_room(shop=house.shop)
    enter(room)
    asker = house.ask(Role.CREW_LEAD)
    address, draft = house.address("sound_choices", room_id=room.pk), house.address("draft", room_id=room.pk)
    page = asker.get(address).json()
    assert page["mark"] in [row["mark"] for row in page["rows"]]
    choice = next(one for one in page["choices"] if not one["here"])
    body = {"speaker": page["mark"], "choice": choice["choice"]}
    assert problem_of(asker.post(address, body), 428)
    taken = asker.send("POST", address, body, If_Match=asker.get(draft)["ETag"])
    assert taken.status_code == 200 and taken.json()["moved"]
    wrong = asker.send("POST", address, body | {"choice": "best"}, If_Match=asker.get(draft)["ETag"])
    assert set(wrong_at(wrong)) == {"/choice"}
