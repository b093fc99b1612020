"""A worker in a process of its own, on the database that is named, with the kinds of work that tests know."""

import os
import sys

import django
from django.conf import settings

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "projects.settings")
settings.DATABASES["default"]["NAME"] = sys.argv[1]
django.setup()

from django.core.management import call_command  # noqa: E402

from tests.work import kinds  # noqa: E402, F401

call_command("work", *sys.argv[2:])
