"""The owner says who works here and what each may do."""

import html

import pytest
from django.urls import reverse

from projects.accounts.models import Membership, User
from projects.doors.links import invitation_path
from projects.doors.models import Invitation
from projects.platform.permissions import Role
from tests.factories import MemberFactory, UserFactory
from tests.shops import on_page

NEW = {"name": "Ash", "email": "ash@shop.example", "role": "crew"}


def add(client, **changes):
    return client.post(reverse("people"), NEW | changes)


def change(client, member, **changes):
    address = reverse("person", args=[member.pk])
    return client.post(address, on_page(client.get(address), "role") | changes)


def fresh(member):
    return Membership.objects.get(pk=member.pk)


# Someone new


def test_a_person_is_asked_in_and_chooses_a_password_of_their_own(owner, client, shop):
    assert add(owner).status_code == 200
    assert not User.objects.filter(email=NEW["email"]).exists()
    link = invitation_path(Invitation.objects.of(shop).get(email=NEW["email"]))
    client.logout()
    assert client.post(link, {"name": "Ash", "new": "plumb-and-true-9"}).status_code == 302
    member = shop.members.get(user__email=NEW["email"])
    assert (member.role, member.active, member.may_approve) == ("crew", True, False)
    client.logout()
    assert client.post(reverse("sign_in"), {"email": NEW["email"], "password": "plumb-and-true-9"}).status_code == 302


def test_whoever_is_asked_in_with_one_press_too_few_is_crew_not_a_second_owner(owner):
    assert on_page(owner.get(reverse("people")), "role")["role"] == "crew"


@pytest.mark.parametrize(
    ("box", "typed"),
    [
        ("name", ""),
        ("name", "a\u202eb"),
        ("email", "ash"),
        ("role", "king"),
    ],
)
def test_what_is_wrong_is_told_by_its_box_and_the_rest_stays(owner, box, typed):
    answer = add(owner, **{box: typed})
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {box}
    if box != "email":
        assert answer.context["form"]["email"].value() == "ash@shop.example"
    assert not Invitation.objects.every_shop().filter(email="ash@shop.example").exists()


def test_who_works_here_or_was_asked_already_is_told_by_the_box(owner, shop):
    MemberFactory(shop=shop, user=UserFactory(email="ash@shop.example"))
    answer = add(owner, email="Ash@shop.example")
    assert answer.status_code == 422
    assert "among the people above" in html.unescape(answer.content.decode())
    assert add(owner, email="oak@shop.example").status_code == 200
    assert set(add(owner, email="OAK@shop.example").context["form"].errors) == {"email"}


@pytest.mark.parametrize("role", ["crew", "viewer"])
def test_crew_and_viewers_can_not_be_given_approval(owner, role):
    answer = add(owner, role=role, may_approve="on")
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"may_approve"}


# Changes


def test_a_role_is_changed_and_holds_from_the_next_page(owner, people, client):
    crew = people[Role.CREW]
    assert change(owner, crew, role="crew_lead", may_approve="on").url == reverse("people")
    assert (fresh(crew).role, fresh(crew).may_approve) == ("crew_lead", True)
    client.force_login(crew.user)
    assert client.get(reverse("new_room")).status_code == 200


def test_someone_who_left_is_kept_on_record_and_out_at_once(owner, people, client):
    crew = people[Role.CREW]
    address = reverse("person", args=[crew.pk])
    boxes = on_page(owner.get(address), "role")
    boxes.pop("active")
    owner.post(address, boxes)
    assert fresh(crew).active is False
    client.force_login(crew.user)
    assert client.get(reverse("rooms")).status_code == 302


def test_the_last_owner_stays(owner, people):
    answer = change(owner, people[Role.OWNER], role="viewer")
    assert answer.status_code == 422
    assert "at least one owner" in html.unescape(answer.content.decode())
    assert fresh(people[Role.OWNER]).role == "owner"


def test_one_of_two_owners_may_go(owner, people, shop):
    MemberFactory(shop=shop)
    assert change(owner, people[Role.OWNER], role="estimator").status_code == 302


def test_a_stale_save_shows_both_and_saving_again_goes_through(owner, people):
    """One owner made her lead, another ticks approval on a page opened before."""
    estimator = people[Role.ESTIMATOR]
    address = reverse("person", args=[estimator.pk])
    opened = on_page(owner.get(address), "role")
    change(owner, estimator, role="crew_lead", may_move_marks="on")
    answer = owner.post(address, opened | {"may_approve": "on"})
    assert answer.status_code == 409
    page = html.unescape(answer.content.decode())
    assert "Estimator" in page and "Crew lead" in page
    assert (fresh(estimator).role, fresh(estimator).may_approve) == ("crew_lead", False)
    taken = on_page(answer, "role") | {"role": "crew_lead", "may_move_marks": "True"}
    assert owner.post(address, taken).status_code == 302
    now = fresh(estimator)
    assert (now.role, now.may_approve, now.may_move_marks) == ("crew_lead", True, True)


def test_a_tick_of_the_other_person_is_shown_as_a_tick(owner, people):
    """Theirs is ticked, mine is not: taking theirs must tick it."""
    estimator = people[Role.ESTIMATOR]
    address = reverse("person", args=[estimator.pk])
    opened = on_page(owner.get(address), "role")
    change(owner, estimator, may_approve="on")
    page = html.unescape(owner.post(address, opened | {"role": "crew_lead"}).content.decode())
    box = page.split("May approve a layout</legend>")[1].split("</fieldset>")[0]
    assert 'value="True"' in box and "yes" in box


# Who may


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.OWNER])
def test_nobody_but_an_owner(as_role, people, role):
    client = as_role(role)
    address = reverse("person", args=[people[Role.VIEWER].pk])
    assert [client.get(reverse("people")).status_code, add(client).status_code] == [403, 403]
    assert [client.get(address).status_code, client.post(address, {"role": "owner"}).status_code] == [403, 403]
    assert fresh(people[Role.VIEWER]).role == "viewer"


def test_a_stranger_finds_nobody(stranger, people):
    address = reverse("person", args=[people[Role.CREW].pk])
    assert [stranger.get(address).status_code, stranger.post(address, {"role": "owner"}).status_code] == [404, 404]


def test_another_verb_is_refused(owner, people):
    assert owner.delete(reverse("person", args=[people[Role.CREW].pk])).status_code == 405
