"""`manage.py bench`: how long placing takes on this machine. Opens no database; what is timed stands with the tests."""

from importlib import import_module

from django.core.management.base import BaseCommand, CommandError


class Command(BaseCommand):
    help = "Times placing lights and speakers, from a den to a 300 ft hall, and prints a small table."
    requires_system_checks = ()

    def handle(self, *args, **options):
        try:
            times = import_module("tests.benchmarks.placement_times")
        except ModuleNotFoundError as missing:
            raise CommandError(f"{missing}. Run this from a checkout: what it times stands with the tests.") from None
        for line in times.report():
            self.stdout.write(line)
            self.stdout.flush()
