"""What every test shares; fixtures of one part stand in that part's own folder."""

import copy
import os

import pytest
from django.conf import settings as django_settings
from django.db import transaction
from hypothesis import settings

from projects.platform.walling import this_process_runs_commands

# A browser test's event loop runs in the test's own thread: the ORM is called from there on purpose.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"

# No test asserts a time: a slow machine is not a wrong answer. In CI the same examples are tried each time.
settings.register_profile("desk", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "desk")


def pytest_configure():
    """A file is looked for when it is asked for, not all of them anew for each client a test makes."""
    django_settings.WHITENOISE_AUTOREFRESH = True
    this_process_runs_commands(True)  # a test writes for any shop; what it asks of the program is walled off
    django_settings.API_PER_MINUTE = django_settings.API_UNKNOWN_PER_MINUTE = 0  # a walk asks more than any person


def standing(make):
    """A fixture that builds something once for a module's tests and hands each its own copy.

    It stands inside a transaction that ends with the module; what a test writes is rolled back before the next one.
    Not for a module with a test that commits (transaction=True, a live server).
    """

    @pytest.fixture(scope="module")
    def built(django_db_setup, django_db_blocker):
        with django_db_blocker.unblock(), transaction.atomic():
            yield make()
            transaction.set_rollback(True)

    return built


def own_copy(built):
    return copy.deepcopy(built)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items):
    """`-m database`: what reads or writes records, and so may come out otherwise on another engine."""
    for item in items:
        if {"db", "transactional_db", "live_server"} & set(item.fixturenames) or item.get_closest_marker("django_db"):
            item.add_marker("database")
