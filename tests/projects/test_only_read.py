"""Who may look into a form and not change it is told so before typing, as no button at its end keeps anything."""

import pytest
from django.urls import reverse

from projects.catalogue.models import FixtureType
from projects.platform.permissions import Role
from tests.factories import ControlTypeFactory, LightTargetFactory

SAID = "nothing typed here is kept"
OF_THE_ROOM = ("build_up", "counts", "circuits", "light_settings", "sound_settings")
OF_THE_SHOP = ("fixture_type", "control_type", "light_target", "shop_rules")


@pytest.fixture
def address(shop, room):
    """address(name) of a page whose form not everybody may send."""
    known = {
        "fixture_type": lambda: [FixtureType.objects.of(shop).first().pk],
        "control_type": lambda: [ControlTypeFactory(shop=shop).pk],
        "light_target": lambda: [LightTargetFactory(shop=shop).key],
        "shop_rules": list,
    }
    return lambda name: reverse(name, args=known[name]() if name in known else [room.pk])


@pytest.mark.parametrize("name", OF_THE_ROOM + OF_THE_SHOP)
def test_a_crew_is_told_that_a_form_is_there_to_be_read(as_role, address, name):
    where = address(name)
    assert SAID in as_role(Role.CREW).get(where).content.decode()
    assert SAID not in as_role(Role.OWNER).get(where).content.decode()


@pytest.mark.parametrize("name", OF_THE_ROOM)
def test_a_crew_lead_who_may_change_it_is_told_nothing_of_the_kind(as_role, address, name):
    assert SAID not in as_role(Role.CREW_LEAD).get(address(name)).content.decode()
