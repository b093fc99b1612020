"""The shop's catalog: which holes it cuts. A changed hole is no longer a verified one."""

import html
from decimal import Decimal

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from projects.catalogue.models import ControlType, FixtureType
from projects.platform.permissions import Role
from tests.factories import DAY, ControlTypeFactory, FixtureTypeFactory
from tests.shops import on_page

NEW = {"name": "5 in cut light", "kind": "light", "install": "new_work", "shape": "round", "cutout": "5 3/8"}


@pytest.fixture
def light(shop):
    return FixtureTypeFactory(shop=shop, name="4 in light")


def address(light):
    return reverse("fixture_type", args=[light.pk])


def add(client, **changes):
    return client.post(reverse("fixture_types"), NEW | changes)


def change(client, light, **changes):
    return client.post(address(light), on_page(client.get(address(light)), "cutout") | changes)


def stored(light):
    return FixtureType.objects.of(light.shop).get(pk=light.pk)


# A new type


def test_a_type_is_added_and_not_yet_verified(owner, shop):
    answer = add(owner, watts="9.5", aperture="5")
    made = FixtureType.objects.of(shop).get()
    assert answer.url == address(made)
    assert (made.cutout, made.aperture, made.watts) == (inches("5 3/8"), inches(5), Decimal("9.5"))
    assert not made.verified
    assert "do not cut" in owner.get(answer.url).content.decode()


@pytest.mark.parametrize(
    ("box", "typed", "says"),
    [
        ("name", "", "needed"),
        ("name", "\u200b", "hidden"),
        ("kind", "lamp", "lamp"),
        ("cutout", "", "needed"),
        ("cutout", "5-3", "can be read as"),
        ("cutout", "0", "Zero"),
        ("cutout", "61", "most allowed"),
        ("cutout", "1/4", "least allowed"),
        ("cutout", "5" * 65, "64 characters"),
        ("depth", "121", "most allowed"),
        ("trim", "-1", "without the minus"),
        ("watts", "5001", "5000"),
        ("watts", "1.234", "decimal"),
        ("lumens", "200001", "200000"),
        ("beam_deg", "181", "180"),
        ("impedance_ohm", "NaN", "number"),
    ],
)
def test_a_wrong_box_says_so_and_all_that_was_typed_stays(owner, shop, box, typed, says):
    answer = add(owner, **{box: typed})
    form = answer.context["form"]
    assert answer.status_code == 422
    assert set(form.errors) == {box}
    assert says in " ".join(form.errors[box])
    assert form[box].value() == typed
    assert form["cutout" if box == "name" else "name"].value() == NEW["cutout" if box == "name" else "name"]
    assert not FixtureType.objects.of(shop).exists()


def test_a_name_the_catalog_has_is_refused(owner, shop):
    add(owner)
    answer = add(owner)
    assert answer.status_code == 422
    assert "already has this name" in " ".join(answer.context["form"].errors["name"])


def test_another_shop_may_use_the_same_name(stranger, shop):
    FixtureTypeFactory(shop=shop, name=NEW["name"], key="5-in-cut-light")
    assert add(stranger).status_code == 302


# A change


def test_a_changed_hole_has_to_be_verified_again(owner, light):
    FixtureType.objects.of(light.shop).update(cutout_verified_by="R.", cutout_verified_on=DAY)
    assert change(owner, light, watts="11").status_code == 302
    assert stored(light).cutout_verified_by == "R."
    assert change(owner, light, cutout="4 3/8").status_code == 302
    assert (stored(light).cutout, stored(light).verified) == (inches("4 3/8"), False)


def test_a_retired_type_stays_on_record(owner, light):
    change(owner, light, retired="on")
    assert stored(light).retired
    assert owner.get(address(light)).status_code == 200


def test_a_stale_save_shows_both_and_saving_again_goes_through(owner, light):
    opened = on_page(owner.get(address(light)), "cutout")
    change(owner, light, cutout="4 3/8")
    answer = owner.post(address(light), opened | {"cutout": "4 1/2", "lumens": "900"})
    page = html.unescape(answer.content.decode())
    assert answer.status_code == 409
    assert "4 3/8" in page and "4 1/2" in page
    assert stored(light).cutout == inches("4 3/8")
    assert owner.post(address(light), on_page(answer, "cutout")).status_code == 302
    assert (stored(light).cutout, stored(light).lumens) == (inches("4 1/2"), 900)


# Who may


@pytest.mark.parametrize("role", [Role.CREW_LEAD, Role.CREW, Role.VIEWER])
def test_the_field_reads_the_catalog_and_the_office_keeps_it(as_role, light, role):
    client = as_role(role)
    assert [client.get(reverse("fixture_types")).status_code, client.get(address(light)).status_code] == [200, 200]
    assert [add(client).status_code, client.post(address(light), NEW).status_code] == [403, 403]
    assert stored(light).cutout == inches("4 1/4")


def test_a_stranger_finds_nothing(stranger, light):
    assert [stranger.get(address(light)).status_code, stranger.post(address(light), NEW).status_code] == [404, 404]
    assert light.name not in stranger.get(reverse("fixture_types")).content.decode()


def test_another_verb_is_refused(owner, light):
    assert owner.delete(address(light)).status_code == 405


# What the label and the sheet say


def test_a_label_that_allows_through_wiring_says_for_how_many_conductors_of_what_gauge(owner, light):
    change(owner, light, through_wiring="yes", through_conductors="8", through_awg="12")
    assert (stored(light).through_wiring, stored(light).through_conductors, stored(light).through_awg) == ("yes", 8, 12)


def test_conductors_are_not_taken_where_the_label_allows_none(owner, light):
    answer = change(owner, light, through_wiring="no", through_conductors="8", through_awg="12")
    assert answer.status_code == 422 and stored(light).through_wiring == ""
    assert "Say above that wiring through its box is allowed" in answer.content.decode()


def test_a_gauge_nobody_sells_is_refused_by_its_box(owner, light):
    answer = change(owner, light, through_wiring="yes", through_conductors="8", through_awg="13")
    assert "Gauge: give one of 18, 16, 14" in answer.content.decode()


def test_taps_are_kept_in_order_each_once(owner, light):
    change(owner, light, tap_watts="10, 2.5,5, 10")
    assert stored(light).tap_watts == "2.5, 5, 10"


@pytest.mark.parametrize("typed", ["5 watts", "0", "-5", "1e3", "NaN", "2000"])
def test_what_is_no_tap_is_refused(owner, light, typed):
    assert "is not a tap" in html.unescape(change(owner, light, tap_watts=typed).content.decode())


def test_a_lights_va_is_its_label_s_else_watts_over_the_power_factor(shop):
    """By hand: 9 W at a power factor of 0.9 draw 10 VA; without one, nobody knows."""
    assert FixtureTypeFactory(shop=shop, volt_amperes=12, watts=9, power_factor=Decimal("0.9")).rated_va == 12
    assert FixtureTypeFactory(shop=shop, watts=Decimal(9), power_factor=Decimal("0.9")).rated_va == 10
    assert FixtureTypeFactory(shop=shop, watts=Decimal(9)).rated_va is None


SHEET = {
    "name": "Slide dimmer", "kind": "dimmer", "gangs": "1", "led_watts": "150", "side_sections": "yes",
    "led_watts_one_off": "120", "led_watts_both_off": "100", "min_watts": "10", "source": "its sheet, 2026",
}  # fmt: skip


def test_a_dimmer_is_added_with_what_its_sheet_says(owner, shop):
    owner.post(reverse("control_types"), SHEET)
    (dimmer,) = ControlType.objects.of(shop)
    assert (dimmer.led_watts, dimmer.led_watts_one_off, dimmer.min_watts) == (150, 120, 10)
    assert "Slide dimmer" in owner.get(reverse("control_types")).content.decode()


def test_a_dimmer_carries_no_more_in_a_gang_than_alone(owner, shop):
    answer = owner.post(reverse("control_types"), SHEET | {"led_watts_both_off": "200"})
    assert answer.status_code == 422 and not ControlType.objects.of(shop).exists()
    assert "no more than alone" in answer.content.decode()


def test_a_dimmer_somebody_else_changed_meanwhile_is_shown_both_ways(owner, shop):
    dimmer = ControlTypeFactory(shop=shop)
    where = reverse("control_type", args=[dimmer.pk])
    boxes = on_page(owner.get(where), "led_watts")
    owner.post(where, boxes | {"led_watts": "200"})
    assert owner.post(where, boxes | {"led_watts": "300"}).status_code == 409
    assert ControlType.objects.of(shop).get().led_watts == 200
