"""The door for a web server."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "projects.settings")
# Before numpy comes in: a room's light is small sums, which several threads only slow.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
application = get_wsgi_application()
