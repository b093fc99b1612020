"""`manage.py bench`: how long placing and wiring take on this machine, and how good the order of lights is.

Opens no database; what is timed stands with the tests.
"""

from importlib import import_module

from django.core.management.base import BaseCommand, CommandError


class Command(BaseCommand):
    help = "Times placing lights and speakers, and the order lights are wired in, and prints two small tables."
    requires_system_checks = ()

    def handle(self, *args, **options):
        try:
            parts = [import_module(f"tests.benchmarks.{name}") for name in ("placement_times", "wiring_gaps")]
        except ModuleNotFoundError as missing:
            raise CommandError(f"{missing}. Run this from a checkout: what it times stands with the tests.") from None
        for part in parts:
            for line in part.report():
                self.stdout.write(line)
                self.stdout.flush()
