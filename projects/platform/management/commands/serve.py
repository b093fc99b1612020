"""manage.py serve: the pages for use, by gunicorn in this process's place. `demo` serves them for a look."""

import os
import sys
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

CONFIG = Path(__file__).resolve().parents[3] / "deploy" / "gunicorn_conf.py"


class Command(BaseCommand):
    help = "Serve the pages; settings come from the environment (see projects/deploy/env.example). SIGTERM ends it."
    requires_system_checks = ()

    def add_arguments(self, parser):
        parser.add_argument("--bind", help="address:port or unix:/path (CEILINGBOOK_BIND, else 127.0.0.1:8000)")
        parser.add_argument("--processes", type=int, help="processes (CEILINGBOOK_PROCESSES, else as many as cores)")
        parser.add_argument("--threads", type=int, help="threads of each process (CEILINGBOOK_THREADS, else 4)")

    def handle(self, *args, bind, processes, threads, **options):
        for name, value in (("BIND", bind), ("PROCESSES", processes), ("THREADS", threads)):
            if value is not None:
                if value in (0, "") or (isinstance(value, int) and value < 0):
                    raise CommandError(f"--{name.lower()}: {value} is not enough. Give one or more.")
                os.environ[f"CEILINGBOOK_{name}"] = str(value)
        # The one who holds a socket for us names the process it was made for; exec keeps the process.
        os.execv(sys.executable, [sys.executable, "-m", "gunicorn", "--config", str(CONFIG), "projects.wsgi"])
