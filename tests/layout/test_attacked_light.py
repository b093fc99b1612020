"""What odd settings and forms made by hand do to a room's light: they are refused in words, and its pages stand."""

import pytest
from django.urls import reverse

from layout.light.choices.proposing import _within
from layout.light.choices.shining import lights_of_the_catalog
from layout.light.models import LightAim, LightSetup, LightZone, MeterReading
from projects.catalogue.models import FixtureType
from projects.platform.permissions import Role
from projects.work.models import LONGEST_WORDS, canonical
from tests.factories import (
    LightAimFactory,
    LightSetupFactory,
    LightTargetFactory,
    LightZoneFactory,
    PhotometricFileFactory,
    RoomFactory,
)
from tests.layout.lit import lit_room
from tests.shops import on_page, people_of, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    return lit_room()


@pytest.fixture
def lead(client, room):
    return sign_in(client, people_of(room.shop)[Role.CREW_LEAD])


def send(client, room, route, holding="version", **more):
    """The page's own form with a few boxes changed."""
    address = reverse(route, args=[room.pk])
    sent = on_page(client.get(address), holding) | more
    return client.post(address, {name: value for name, value in sent.items() if value is not None})


def test_one_light_is_not_aimed_twice(lead, room):
    twice = {"aim-1-2-number": "1", "aim-1-1-tilt_deg": "10", "aim-1-2-tilt_deg": "20"}
    answer = send(lead, room, "light_aims", **twice)
    assert answer.status_code == 422 and not LightAim.objects.filter(setup__room=room).exists()


def test_one_zone_is_not_dimmed_twice(lead, room):
    setup = LightSetupFactory(room=room)
    for letter in "CD":
        LightZoneFactory(setup=setup, letter=letter, dim_percent=30)
    answer = send(lead, room, "light_settings", **{"zone-C-letter": "D"})
    assert answer.status_code == 422
    assert set(LightZone.objects.filter(setup=setup).values_list("letter", "dim_percent")) == {("C", 30), ("D", 30)}


def test_a_level_that_is_no_longer_used_stays_with_the_rooms_that_have_it(lead, room):
    LightSetupFactory(room=room, target_key="sewing")
    LightTargetFactory(shop=room.shop, key="sewing", retired=True)
    assert send(lead, room, "light_settings", wall_percent="40").status_code == 302
    assert LightSetup.objects.of(room.shop).get().target_key == "sewing"


@pytest.mark.parametrize("route", ["light", "light_report", "light_compare", "light_propose", "light_readings"])
def test_a_room_whose_lights_are_all_off_has_its_pages(lead, room, route):
    LightZoneFactory(setup=LightSetupFactory(room=room), letter="A", dim_percent=0)
    assert lead.get(reverse(route, args=[room.pk])).status_code == 200


def test_an_aim_whose_light_went_away_is_kept_and_told(lead, room):
    LightAimFactory(setup=LightSetupFactory(room=room), row=7, number=9)
    assert send(lead, room, "light_aims").status_code == 302
    assert LightAim.objects.filter(setup__room=room, row=7, number=9).exists()
    assert "row 7" in lead.get(reverse("light", args=[room.pk])).content.decode()


def test_comparing_more_lights_than_a_page_waits_for_is_refused_with_what_to_take_less_of(lead, room, monkeypatch):
    """Six lights: two places off the wall are 12 lights, and the layout as it is stands in the page all the same."""
    monkeypatch.setattr("layout.light.choices.comparing.MOST_TRIED", 11)
    asked = {"low": "12 in", "high": "16 in", "step": "4 in", "off": "ends", "modes": "wall_held"}
    page = lead.get(reverse("light_compare", args=[room.pk]), asked)
    assert page.status_code == 200
    assert page.context["refused"].startswith("These layouts have 12 lights together; 11 are worked out")


@pytest.mark.parametrize("route", ["light", "light_report", "light_compare"])
def test_watts_that_only_the_file_knows_are_told(lead, room, route):
    """Six lights of 12 W, as their file says."""
    file = PhotometricFileFactory(shop=room.shop, watts=12)
    FixtureType.objects.of(room.shop).filter(kind="light").update(photometric=file, watts=None)
    page = lead.get(reverse(route, args=[room.pk]))
    assert page.status_code == 200
    assert "72 W" in page.content.decode() or route == "light_compare"


def test_lights_are_listed_without_the_text_of_their_files(room, django_assert_num_queries):
    FixtureType.objects.of(room.shop).filter(kind="light").update(photometric=PhotometricFileFactory(shop=room.shop))
    with django_assert_num_queries(1):
        listed = list(lights_of_the_catalog(room.shop))
        assert listed and all("text" not in vars(one.photometric) and one.photometric.name for one in listed)


def test_a_search_that_finds_more_than_can_be_kept_keeps_what_is_on_offer():
    """30 layouts of some 1,000 characters where 20,000 are kept."""
    many = [{"names": ["fewest lights"] if n in (0, 29) else [], "lights": n, "words": "x" * 1000} for n in range(30)]
    kept = _within({"trade_offs": many, "tried": 30})
    assert len(canonical(kept)) <= LONGEST_WORDS
    assert [one["lights"] for one in kept["trade_offs"]][-1] == 29 and 15 <= len(kept["trade_offs"]) < 30


def test_a_reading_whose_button_is_pressed_twice_is_in_the_log_once(lead, room):
    address = reverse("light_readings", args=[room.pk])
    read = {
        "on": "level", "value": "31.5", "unit": "fc", "from_left": "80 in", "from_door": "44 in", "height": "30 in",
        "instrument": "Meter 2", "taken_by": "R.", "taken_on": "2026-05-03",
    }  # fmt: skip
    assert [lead.post(address, read | {"value": value}).status_code for value in ("31.5", "31.5", "32")] == [302] * 3
    assert sorted(float(one.value) for one in MeterReading.objects.of(room.shop)) == [31.5, 32]


def test_what_is_read_where_no_light_can_be_laid_out_is_logged_without_a_prediction(lead, room):
    bare = RoomFactory(job=room.job)  # nobody taped it
    answer = send(
        lead, bare, "light_readings", "instrument", on="level", value="30", unit="fc", from_left="80", from_door="44",
        height="30", instrument="Meter 2", taken_by="R.", taken_on="2026-05-03",
    )  # fmt: skip
    assert answer.status_code == 302
    assert MeterReading.objects.of(room.shop).get().predicted_lx is None
