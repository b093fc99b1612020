"""A shop's rules are refused on the page, in words, before the database would refuse them without any."""

import pytest
from django.urls import reverse

from tests.factories import MemberFactory
from tests.shops import on_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client):
    member = MemberFactory()
    client.force_login(member.user)
    return member


def save(client, **changes):
    page = reverse("shop_rules")
    return client.post(page, on_page(client.get(page), "spacing_limit") | changes)


@pytest.mark.parametrize(
    "changes",
    [
        {"spacing_limit": "3"},
        {"spacing_limit": "60'"},
        {"end_setback": "1/2"},
        {"row_setback": "51'"},
        {"edge_min": "49"},
        {"web_min": "49"},
        {"light_to_speaker": "21'"},
    ],
)
def test_a_rule_out_of_bounds_names_its_box(client, owner, changes):
    answer = save(client, **changes)
    assert answer.status_code == 422
    assert answer.context["form"].errors.keys() == changes.keys()


@pytest.mark.parametrize("mixed", [{"fraction": "1"}, {"style": "mm"}])
def test_inches_are_not_printed_to_whole_millimeters_nor_millimeters_to_sixteenths(client, owner, mixed):
    answer = save(client, **mixed)
    assert answer.status_code == 422
    assert "fraction" in answer.context["form"].errors
    owner.shop.refresh_from_db()
    assert owner.shop.tape.fraction == 16


def test_a_shop_may_go_metric(client, owner):
    assert save(client, style="mm", fraction="1").status_code == 302
    assert client.get(reverse("shop_rules")).status_code == 200
