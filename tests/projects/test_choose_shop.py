"""One who works in two shops chooses one, and sees that one's rooms alone."""

import pytest
from django.urls import reverse

from tests.factories import JobFactory, MemberFactory, RoomFactory, ShopFactory, UserFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def user():
    return UserFactory()


@pytest.fixture
def two(user):
    shops = [ShopFactory(name="North"), ShopFactory(name="South")]
    for shop in shops:
        MemberFactory(shop=shop, user=user)
        RoomFactory(job=JobFactory(shop=shop), name=f"Den of {shop.name}")
    return shops


def choose(client, shop):
    return client.post(reverse("choose_shop"), {"shop": shop.pk})


def test_with_one_shop_nothing_is_asked(client):
    client.force_login(MemberFactory().user)
    assert client.get(reverse("rooms")).status_code == 200


def test_with_two_one_chooses_first(client, user, two):
    client.force_login(user)
    assert client.get(reverse("rooms")).url == reverse("choose_shop")
    page = client.get(reverse("choose_shop")).content.decode()
    assert "North" in page and "South" in page


def test_the_chosen_shops_rooms_alone_are_shown(client, user, two):
    client.force_login(user)
    north, south = two
    assert choose(client, south).url == reverse("home")
    page = client.get(reverse("rooms") + "?view=wall").content.decode()
    assert "Den of South" in page and "Den of North" not in page
    choose(client, north)
    assert "Den of North" in client.get(reverse("rooms") + "?view=wall").content.decode()


def test_the_role_is_the_one_of_the_chosen_shop(client, user, two):
    _north, south = two
    user.memberships.filter(shop=south).update(role="viewer")
    client.force_login(user)
    choose(client, south)
    assert client.get(reverse("new_room")).status_code == 403


def test_a_strangers_shop_can_not_be_chosen(client, user, two):
    client.force_login(user)
    assert choose(client, ShopFactory()).status_code == 404
    assert client.get(reverse("rooms")).url == reverse("choose_shop")


def test_a_shop_one_has_left_is_not_offered(client, user, two):
    north, _south = two
    user.memberships.filter(shop=north).update(active=False)
    client.force_login(user)
    assert "North" not in client.get(reverse("choose_shop")).content.decode()
    assert choose(client, north).status_code == 404


def test_a_shop_left_after_choosing_is_closed_at_once(client, user, two):
    north, _south = two
    client.force_login(user)
    choose(client, north)
    user.memberships.filter(shop=north).update(active=False)
    assert client.get(reverse("rooms")).url == reverse("choose_shop")


def test_another_verb_is_refused(client, user):
    client.force_login(user)
    assert client.put(reverse("choose_shop")).status_code == 405
