"""The door for a web server."""

import gc
import os

from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

from projects.platform.walling import this_process_runs_commands

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "projects.settings")
this_process_runs_commands(False)
application = get_wsgi_application()
get_resolver().url_patterns  # noqa: B018  every page's code is read before the first request, not by it
# What was read stays for good. Put aside, the collector of garbage doesn't go over it again in the midst of an answer.
gc.collect()
gc.freeze()
