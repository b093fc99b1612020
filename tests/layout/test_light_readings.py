"""The meter log: readings beside what was predicted, never changed, and the shop's own correction from them."""

from decimal import Decimal

import pytest
from django.urls import reverse

from layout.light.corrections import corrections_of, ratio_of
from layout.light.models import MeterReading
from layout.light.page import light_page
from layout.light.queries import light_of
from projects.platform.permissions import Role
from tests.factories import LightSetupFactory, MeterReadingFactory, RoomFactory, ShopFactory
from tests.layout.lit import lit_room
from tests.shops import fresh, on_page, people_of, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    return lit_room()


@pytest.fixture
def crew(client, room):
    return sign_in(client, people_of(room.shop)[Role.CREW])


def read(client, room, **typed):
    address = reverse("light_readings", args=[room.pk])
    given = {"on": "level", "from_left": "80", "from_door": "44", "height": "30", "value": "30", "unit": "fc",
             "instrument": "Meter 2", "taken_by": "R.", "taken_on": "2026-05-03"}  # fmt: skip
    return client.post(address, {**on_page(client.get(address), "instrument"), **given, **typed})


def stored(room):
    return MeterReading.objects.of(room.shop).filter(room=room).first()


def test_a_reading_is_kept_with_what_was_predicted_for_its_place(crew, room):
    assert read(crew, room).status_code == 302
    kept = stored(room)
    found = light_page(light_of(fresh(room)), None, drawn=False).measures
    assert found.plane_min_lx <= kept.predicted_lx <= found.plane_max_lx * 1.02
    assert (kept.dims, len(kept.digest)) == ('{"A":100}', 64)
    assert kept.entered_by.role == Role.CREW


def test_at_half_the_level_half_is_predicted(crew, room):
    read(crew, room)
    whole = stored(room).predicted_lx
    read(crew, room, **{"dim-A": "50"})
    assert stored(room).predicted_lx == pytest.approx(whole / 2)


def test_what_was_there_with_the_lights_off_is_taken_off():
    """32 fc lit less 12 fc dark is 20 fc, 215.3 lx, over 200 lx predicted: 1.076."""
    reading = MeterReadingFactory(value=Decimal(32), dark=Decimal(12), predicted_lx=200.0)
    assert ratio_of(reading) == pytest.approx(1.0764, abs=1e-4)


def test_the_prediction_leaves_out_the_shops_own_correction_so_that_it_does_not_feed_itself(crew, room):
    read(crew, room)
    plain = stored(room).predicted_lx
    LightSetupFactory(room=room, as_read="0.5")
    read(crew, room)
    assert stored(room).predicted_lx == pytest.approx(plain)


def test_on_a_wall_a_reading_is_placed_from_its_left_end(crew, room):
    assert read(crew, room, on="far", along="81", height="60", from_left="", from_door="").status_code == 302
    kept = stored(room)
    assert kept.predicted_lx > 0 and kept.from_left is None
    assert read(crew, room, on="far", along="", height="60").status_code == 422


def test_a_place_outside_the_room_is_kept_with_nothing_predicted(crew, room):
    assert read(crew, room, from_left="400").status_code == 302
    assert stored(room).predicted_lx is None and stored(room).digest == ""


@pytest.mark.parametrize(
    ("box", "typed"), [("value", "-1"), ("value", "900000"), ("dark", "31"), ("height", ""), ("taken_on", "soon"),
                       ("instrument", ""), ("from_left", "ten")],
)  # fmt: skip
def test_what_can_not_be_is_refused_at_its_box_and_nothing_is_kept(crew, room, box, typed):
    answer = read(crew, room, note="By the window", **{box: typed})
    assert answer.status_code == 422 and "By the window" in answer.content.decode()
    assert stored(room) is None


def test_the_shops_correction_is_the_median_of_its_readings_over_their_predictions():
    """Ratios 0.8, 0.9, 1.0, 1.4: the median is 0.95, whatever the one that is far off."""
    shop = ShopFactory()
    for lux in (160, 180, 200, 280):
        MeterReadingFactory(room=RoomFactory(shop=shop), value=lux, unit="lx", predicted_lx=200.0)
    MeterReadingFactory(room=RoomFactory(shop=shop), predicted_lx=None)
    MeterReadingFactory(predicted_lx=1.0)  # another shop's
    found = corrections_of(shop)
    assert found.ratio == pytest.approx(0.95)
    assert (found.readings, found.rooms, found.offered) == (4, 4, True)
    assert (found.least, found.most) == (pytest.approx(0.8), pytest.approx(1.4))


def test_two_readings_make_no_correction():
    shop = ShopFactory()
    room = RoomFactory(shop=shop)
    MeterReadingFactory(room=room)
    MeterReadingFactory(room=room)
    assert not corrections_of(shop).offered and corrections_of(ShopFactory()) is None


def test_it_is_offered_with_the_losses_and_applied_only_where_it_is_typed(client, room):
    for lux in (160, 170, 180):
        MeterReadingFactory(room=room, value=lux, unit="lx", predicted_lx=200.0)
    lead = sign_in(client, people_of(room.shop)[Role.CREW_LEAD])
    address = reverse("light_settings", args=[room.pk])
    assert "median 0.850" in lead.get(address).content.decode()
    before = light_of(fresh(room)).made.scene.lights[0].factor
    lead.post(address, on_page(lead.get(address), "as_read") | {"as_read": "0.85"})
    assert light_of(fresh(room)).made.scene.lights[0].factor == pytest.approx(before * 0.85)
    assert "As read by this shop" in lead.get(reverse("light", args=[room.pk])).content.decode()


def test_the_log_is_shown_a_page_at_a_time_in_as_many_queries_for_many_as_for_few(
    crew, room, django_assert_max_num_queries
):
    address = reverse("light_readings", args=[room.pk])
    MeterReadingFactory(room=room)
    crew.get(address)
    with django_assert_max_num_queries(60) as few:
        crew.get(address)
    for _n in range(60):
        MeterReadingFactory(room=room)
    with django_assert_max_num_queries(len(few)):
        page = crew.get(address).content.decode()
    assert page.count("Meter 1, R.") == 50 and "Next page" in page


def test_a_viewer_sees_the_log_and_adds_nothing(client, room):
    viewer = sign_in(client, people_of(room.shop)[Role.VIEWER])
    address = reverse("light_readings", args=[room.pk])
    assert "Add a reading" not in viewer.get(address).content.decode()
    assert viewer.post(address, {}).status_code == 403
