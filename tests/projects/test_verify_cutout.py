"""Somebody cut one in scrap, dry-fitted the fixture and signs for it; until then a card says do not cut."""

import datetime as dt

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from projects.catalogue.models import FixtureType
from projects.platform.permissions import Role
from tests.factories import FixtureTypeFactory


@pytest.fixture
def light(shop):
    return FixtureTypeFactory(shop=shop)


def verify(client, light, version=1, by="R., bench", on="2026-05-03"):
    typed = {"version": version, "verified_by": by, "verified_on": on}
    return client.post(reverse("verify_cutout", args=[light.pk]), typed)


def stored(light):
    return FixtureType.objects.of(light.shop).get(pk=light.pk)


@pytest.mark.parametrize("role", [Role.OWNER, Role.ESTIMATOR, Role.CREW_LEAD])
def test_whoever_leads_may_sign(as_role, light, role):
    answer = verify(as_role(role), light)
    assert answer.url == reverse("fixture_type", args=[light.pk])
    assert (stored(light).cutout_verified_by, stored(light).cutout_verified_on) == ("R., bench", dt.date(2026, 5, 3))


@pytest.mark.parametrize("role", [Role.CREW, Role.VIEWER])
def test_crew_and_viewers_may_not(as_role, light, role):
    assert verify(as_role(role), light).status_code == 403
    assert not stored(light).verified


@pytest.mark.parametrize("typed", [{"by": ""}, {"by": "\u202e"}, {"on": ""}, {"on": "soon"}, {"by": "x" * 81}])
def test_without_a_name_and_a_day_nothing_is_signed(owner, light, typed):
    answer = verify(owner, light, **typed)
    assert "fill in both" in owner.get(answer.url).content.decode()
    assert not stored(light).verified


def test_a_hole_changed_meanwhile_is_not_signed_for(owner, light):
    """The signature is for the hole that was on the screen."""
    FixtureType.objects.of(light.shop).update(cutout=inches("4 3/8"), version=2)
    answer = verify(owner, light, version=1)
    assert "changed meanwhile" in owner.get(answer.url).content.decode()
    assert not stored(light).verified
    verify(owner, light, version=2)
    assert stored(light).verified


def test_a_strangers_type_is_not_here(stranger, light):
    assert verify(stranger, light).status_code == 404


def test_signing_is_posted(owner, light):
    assert owner.get(reverse("verify_cutout", args=[light.pk])).status_code == 405
