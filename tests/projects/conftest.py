"""A shop, its people by role, and who is signed in, for the pages of this folder."""

import pytest

from projects.jobs.models import Room
from projects.platform.permissions import Role
from tests.factories import JobFactory, MemberFactory, ShopFactory
from tests.shops import people_of, practice_room, sign_in


@pytest.fixture
def shop(db):
    return ShopFactory(name="Ridge Lighting")


@pytest.fixture
def people(shop):
    return people_of(shop)


@pytest.fixture
def job(shop):
    return JobFactory(shop=shop)


@pytest.fixture
def room(job):
    """As stored: what is asked of it later is asked of the database."""
    return Room.objects.of(job.shop).get(pk=practice_room(job.shop, job=job).pk)


@pytest.fixture
def as_role(client, people):
    """as_role(Role.CREW) -> the client, signed in as this shop's crew."""
    return lambda role: sign_in(client, people[role])


@pytest.fixture
def owner(as_role):
    return as_role(Role.OWNER)


@pytest.fixture
def stranger(client, db):
    """The owner of another shop."""
    return sign_in(client, MemberFactory())
