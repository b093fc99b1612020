"""A shop's owner with a password that is quick to hash, and letters as they leave."""

import time

import pytest
from django.core import mail
from django.urls import reverse
from django_tasks_db.models import DBTaskResult

from projects.accounts.services import add_person
from projects.doors import sessions
from projects.doors.letters import LETTERS
from tests.factories import ShopFactory

PASSWORD = "level-and-square-7"


@pytest.fixture(autouse=True)
def quick_hashes(settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.PUBLIC_URL = "https://book.example.com"


@pytest.fixture
def lee(db):
    """The owner of a shop, who signs in as lee@shop.example."""
    return add_person(ShopFactory(), email="lee@shop.example", name="Lee", password=PASSWORD, role="owner")


def enter(client, email="lee@shop.example", password=PASSWORD, **more):
    return client.post(reverse("sign_in"), {"email": email, "password": password}, **more)


def letters_sent():
    """The letters that wait in the queue, written now as the worker writes them, oldest first."""
    before = len(mail.outbox)
    for waiting in DBTaskResult.objects.order_by("enqueued_at"):
        kind, about = waiting.args_kwargs["args"]
        LETTERS[kind](about)
    DBTaskResult.objects.all().delete()
    return mail.outbox[before:]


def long_ago(client, seconds):
    """The client's session as it is after so long without a click."""
    session = client.session
    for key in (sessions.SEEN, sessions.TYPED):
        session[key] = int(time.time()) - seconds
    session.save()
    return client
