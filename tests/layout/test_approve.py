"""A revision is approved: by a person the owner trusts with it, once, and the card then names who to ask."""

import pytest
from django.urls import reverse

from projects.accounts.models import Membership
from projects.platform.permissions import Role
from reports.queries import revision_with_marks
from reports.sheets import card_sheet
from tests.factories import MemberFactory, ShopFactory
from tests.shops import fresh, issue, people_of, practice_room, sign_in


@pytest.fixture
def shop(db):
    return ShopFactory()


@pytest.fixture
def people(shop):
    return people_of(shop)


@pytest.fixture
def revision(shop, people):
    return issue(practice_room(shop), by=people[Role.ESTIMATOR])


def trust(member):
    Membership.objects.filter(pk=member.pk).update(may_approve=True)
    return member


def approve(client, revision, number=None):
    return client.post(reverse("approve_revision", args=[revision.room_id, number or revision.number]))


@pytest.mark.parametrize("role", [Role.OWNER, Role.ESTIMATOR, Role.CREW_LEAD])
def test_one_who_was_given_it_approves(client, people, revision, role):
    answer = approve(sign_in(client, trust(people[role])), revision)
    assert answer.url == reverse("revision", args=[revision.room_id, 1])
    revision.refresh_from_db()
    assert (revision.approved_by, revision.approved_at is None) == (people[role], False)
    assert f"Approved by {people[role].user.name}" in client.get(answer.url).content.decode()


@pytest.mark.parametrize("role", Role)
def test_nobody_approves_by_their_role_alone(client, people, revision, role):
    """Not even the owner, until the owner ticks it."""
    assert approve(sign_in(client, people[role]), revision).status_code == 403
    revision.refresh_from_db()
    assert revision.approved_at is None


def test_only_who_may_sees_the_button(client, people, revision):
    address = reverse("revision", args=[revision.room_id, 1])
    assert "Approve this revision" not in sign_in(client, people[Role.OWNER]).get(address).content.decode()
    trust(people[Role.OWNER])
    assert "Approve this revision" in client.get(address).content.decode()


def test_the_first_approval_stands(client, people, revision):
    approve(sign_in(client, trust(people[Role.OWNER])), revision)
    revision.refresh_from_db()
    first = revision.approved_at
    approve(sign_in(client, trust(people[Role.CREW_LEAD])), revision)
    revision.refresh_from_db()
    assert (revision.approved_by, revision.approved_at) == (people[Role.OWNER], first)


def test_a_stranger_finds_nothing_to_approve(client, revision):
    assert approve(sign_in(client, trust(MemberFactory())), revision).status_code == 404
    revision.refresh_from_db()
    assert revision.approved_at is None


def test_a_revision_that_was_never_issued_can_not_be_approved(client, people, revision):
    assert approve(sign_in(client, trust(people[Role.OWNER])), revision, number=7).status_code == 404


def test_approving_is_posted(client, people, revision):
    address = reverse("approve_revision", args=[revision.room_id, 1])
    assert sign_in(client, trust(people[Role.OWNER])).get(address).status_code == 405


def test_the_card_says_to_ask_whoever_approved_else_whoever_issued(client, people, revision):
    room = revision.room
    assert card_sheet(revision_with_marks(room, 1), fresh(room)).ask == people[Role.ESTIMATOR].user.name
    approve(sign_in(client, trust(people[Role.OWNER])), revision)
    assert card_sheet(revision_with_marks(room, 1), fresh(room)).ask == people[Role.OWNER].user.name


def test_approval_changes_no_number(client, people, revision):
    before = (revision.inputs, revision.result, revision.digest, revision.token)
    approve(sign_in(client, trust(people[Role.OWNER])), revision)
    revision.refresh_from_db()
    assert (revision.inputs, revision.result, revision.digest, revision.token) == before
