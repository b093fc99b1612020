"""Somebody is asked into a shop by an address: once, for a week, with the role the owner gave."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from projects.accounts.models import Membership, User
from projects.doors.invitations import InvitationOver, OtherAddress, invite, take_up
from projects.doors.links import invitation_path
from projects.doors.models import Invitation
from projects.platform.permissions import Role
from tests.doors.conftest import letters_sent
from tests.factories import MemberFactory, UserFactory
from tests.shops import people_of

PASSWORD = "plumb-and-true-9"


@pytest.fixture
def asked(lee):
    return invite(lee.shop, by=lee, email="ash@shop.example", name="Ash", role="crew_lead", may_approve=True)


def come_in(client, asked, **typed):
    return client.post(invitation_path(asked), {"name": "Ash", "new": PASSWORD} | typed)


def test_the_letter_has_the_link_and_the_link_makes_the_person(client, asked):
    [letter] = letters_sent()
    assert letter.to == ["ash@shop.example"]
    assert f"https://book.example.com{invitation_path(asked)}" in letter.body
    assert come_in(client, asked).status_code == 302
    member = Membership.objects.get(user__email="ash@shop.example")
    assert (member.role, member.may_approve, member.may_move_marks) == ("crew_lead", True, False)
    assert client.get("/rooms/").status_code == 200
    assert Invitation.objects.of(asked.shop).get(pk=asked.pk).used_by == member.user


def test_it_is_used_once(client, asked):
    come_in(client, asked)
    for other in (client, Client()):
        assert other.get(invitation_path(asked)).status_code == 410
        assert come_in(other, asked, name="Oak").status_code == 410
    assert Membership.objects.filter(shop=asked.shop).count() == 2


def test_of_two_at_once_one_comes_in(asked):
    take_up(asked, name="Ash", password=PASSWORD)
    with pytest.raises(InvitationOver):
        take_up(asked, name="Oak", password=PASSWORD)
    assert User.objects.filter(name="Oak").count() == 0


@pytest.mark.parametrize("happened", ["taken back", "a week", "the inviter left"])
def test_it_ends(client, asked, happened):
    rows = Invitation.objects.of(asked.shop).filter(pk=asked.pk)
    if happened == "taken back":
        rows.update(ended_at=timezone.now())
    elif happened == "a week":
        rows.update(ends_at=timezone.now() - timedelta(seconds=1))
    else:
        MemberFactory(shop=asked.shop)
        Membership.objects.filter(pk=asked.made_by_id).update(active=False)
    assert client.get(invitation_path(asked)).status_code == 410
    assert come_in(client, asked).status_code == 410


def test_what_stands_in_the_form_or_the_address_changes_neither_role_nor_e_mail(client, asked):
    answer = client.post(
        invitation_path(asked) + "?role=owner&email=evil@shop.example",
        {"name": "Ash", "new": PASSWORD, "role": "owner", "email": "evil@shop.example", "may_move_marks": "on"},
    )
    assert answer.status_code == 302
    member = Membership.objects.exclude(role="owner").get(shop=asked.shop)
    assert (member.user.email, member.role, member.may_move_marks) == ("ash@shop.example", "crew_lead", False)


def test_a_link_that_was_altered_is_none(client, asked):
    path = invitation_path(asked)
    other = Invitation.objects.create(
        shop=asked.shop, email="oak@shop.example", name="Oak", role="owner", made_by=asked.made_by,
        ends_at=asked.ends_at,
    )  # fmt: skip
    number, mark = path.split("/")[-2].split("-")
    for link in (f"{other.pk}-{mark}", f"{number}-{mark[:-1]}", f"{number}-", number, "x-y", f"{'9' * 40}-{mark}"):
        assert client.get(f"/invitations/{link}/").status_code == 404, link


def test_a_row_whose_role_was_altered_opens_no_old_link(client, asked):
    path = invitation_path(asked)
    Invitation.objects.of(asked.shop).filter(pk=asked.pk).update(role="owner")
    assert client.get(path).status_code == 404


def test_who_has_an_account_signs_in_and_joins_with_it(client, asked):
    user = UserFactory(email="ash@shop.example")
    assert "signs in here already" in client.get(invitation_path(asked)).content.decode()
    assert come_in(client, asked).status_code == 200  # nobody's password is set by an invitation
    assert not User.objects.get(pk=user.pk).has_usable_password()
    client.force_login(user)
    assert client.post(invitation_path(asked)).status_code == 302
    assert user.memberships.get().role == "crew_lead"


def test_another_person_cannot_take_it_up(client, asked):
    other = UserFactory()
    client.force_login(other)
    assert "another e-mail" in client.get(invitation_path(asked)).content.decode()
    client.post(invitation_path(asked))
    with pytest.raises(OtherAddress):
        take_up(asked, user=other)
    assert not other.memberships.exists()
    assert Invitation.objects.of(asked.shop).get(pk=asked.pk).ended_at is None


def test_the_owner_sends_the_letter_again_and_takes_it_back(client, lee, asked):
    letters_sent()
    client.force_login(lee.user)
    assert client.post(reverse("invitation_again", args=[asked.pk])).status_code == 302
    assert [letter.to for letter in letters_sent()] == [["ash@shop.example"]]
    assert client.post(reverse("take_back_invitation", args=[asked.pk])).status_code == 302
    assert client.post(reverse("take_back_invitation", args=[asked.pk])).status_code == 404
    assert Client().get(invitation_path(asked)).status_code == 410


def test_another_shops_owner_and_other_roles_touch_none(client, asked):
    client.force_login(MemberFactory().user)
    assert client.post(reverse("take_back_invitation", args=[asked.pk])).status_code == 404
    people = people_of(asked.shop)
    for role in (Role.ESTIMATOR, Role.CREW_LEAD, Role.CREW, Role.VIEWER):
        client.force_login(people[role].user)
        assert client.post(reverse("take_back_invitation", args=[asked.pk])).status_code == 403
    assert Invitation.objects.of(asked.shop).get(pk=asked.pk).ended_at is None
