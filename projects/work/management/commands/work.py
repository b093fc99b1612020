"""manage.py work: do the long work that waits in the queue, until asked to end."""

import os

from django.core.management.base import BaseCommand

from projects.work import ending, worker


class Command(BaseCommand):
    help = "Do the long work that waits, and take up again what lost its worker. Ctrl-C or SIGTERM ends it."

    def add_arguments(self, parser):
        parser.add_argument("--interval", type=float, default=1.0, help="seconds to rest when nothing waits (1)")
        parser.add_argument("--until-idle", action="store_true", help="end when nothing is left to do")
        parser.add_argument(
            "--with-parent", type=int, metavar="PID", help="end when the process that started this one has ended"
        )

    def handle(self, *args, interval, until_idle, with_parent, **options):
        ending.end_on_signals()
        worker.run(
            interval=min(max(interval, 0.05), 60.0),
            until_idle=until_idle,
            still_wanted=lambda: with_parent is None or os.getppid() == with_parent,
        )
