"""The shop's catalog: which holes it cuts. A changed hole is no longer a verified one."""

import html
from decimal import Decimal

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from projects.catalogue.models import FixtureType
from projects.platform.permissions import Role
from tests.factories import DAY, FixtureTypeFactory
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
    assert '4 3/8' in page and '4 1/2' in page
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
