"""Delete for good what has lain in the trash for thirty days. Run it once a day."""

from django.core.management.base import BaseCommand

from projects.trash.purging import KEPT, purge


class Command(BaseCommand):
    help = f"Delete jobs and rooms that have been in the trash for {KEPT.days} days, and say what has to stay."

    def handle(self, *args, **options):
        told = purge()
        self.stdout.write(f"Deleted: {told.rooms} rooms, {told.jobs} jobs.")
        for name, why in told.kept:
            self.stdout.write(f"Stays in the trash: {name} (held by {why}).")
