"""A fixture type's sizes are refused on the page, by their box, before the database would refuse them without words."""

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from tests.factories import FixtureTypeFactory, MemberFactory
from tests.shops import on_page

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("changes", [{"cutout": "80"}, {"cutout": "1/4"}, {"depth": "11'"}, {"frame_length": "121"}])
def test_a_size_out_of_bounds_names_its_box(client, changes):
    owner = MemberFactory()
    client.force_login(owner.user)
    light = FixtureTypeFactory(shop=owner.shop)
    page = reverse("fixture_type", args=[light.pk])
    answer = client.post(page, on_page(client.get(page), "cutout") | changes)
    assert answer.status_code == 422
    assert answer.context["form"].errors.keys() == changes.keys()
    light.refresh_from_db()
    assert light.cutout == inches("4 1/4")
