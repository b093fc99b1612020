"""How the pages are served: processes of a few threads each, nothing kept in them that a second one would miss.

Read by `manage.py serve`. A process that is asked to end (SIGTERM) answers what it has begun. The socket it listened on
is best held by who starts it (ceilingbook-web.socket): then nobody is turned away between two starts either.
"""

import os

from projects.settings import DATABASES, LOGGING

bind = os.environ.get("CEILINGBOOK_BIND", "127.0.0.1:8000")
worker_class = "gthread"
threads = int(os.environ.get("CEILINGBOOK_THREADS", "4"))
# A file takes one writer at a time: more processes on SQLite would only wait for each other.
on_sqlite = DATABASES["default"]["ENGINE"].endswith("sqlite3")
workers = 1 if on_sqlite else int(os.environ.get("CEILINGBOOK_PROCESSES") or os.cpu_count() or 1)

timeout = 60  # seconds without a sign of life of the process itself; a long answer in one of its threads is none
graceful_timeout = 60
keepalive = 5
backlog = 512
limit_request_line, limit_request_fields, limit_request_field_size = 4094, 100, 8190
worker_tmp_dir = "/dev/shm" if os.path.isdir("/dev/shm") else None
control_socket_disable = True

# One line a request is written inside, with its id and no path (projects.platform.request_ids).
accesslog = None
logconfig_dict = LOGGING
