"""manage.py load: how the pages and the API answer while a whole shop is at work, on a shop made for it."""

from importlib import import_module

from django.core.management.base import BaseCommand, CommandError


class Command(BaseCommand):
    help = "Serve a large shop, made for it, to clients that look and write, and print how long answers took."
    requires_system_checks = ()

    def add_arguments(self, parser):
        parser.add_argument("--minutes", type=float, default=5.0, help="how long (5)")
        parser.add_argument("--clients", type=int, default=16, help="how many at once (16)")
        parser.add_argument("--think", type=float, default=1.0, help="seconds between two things of one client (1)")
        parser.add_argument("--jobs", type=int, default=200, help="jobs of the shop (200)")
        parser.add_argument("--rooms", type=int, default=25, help="rooms of each job (25)")
        parser.add_argument(
            "--processes", type=int, nargs="+", default=[1], metavar="N",
            help="processes that serve (1; on SQLite always 1); several numbers: one run after the other",
        )  # fmt: skip
        parser.add_argument("--threads", type=int, default=4, help="threads of each (4)")
        parser.add_argument("--folder", help="keep the made shop here, and use it again (a temporary folder)")

    def handle(self, *args, **options):
        wanted = ("minutes", "clients", "think", "jobs", "rooms", "processes", "threads", "folder")
        try:
            run = import_module("tests.benchmarks.load_run")
        except ModuleNotFoundError as missing:
            raise CommandError(f"{missing}. Run this from a checkout: what measures stands with the tests.") from None
        for line in run.report(**{name: options[name] for name in wanted}):
            self.stdout.write(line)
            self.stdout.flush()
