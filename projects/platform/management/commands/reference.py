"""manage.py reference: the guide's reference, from what the code says."""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from projects.platform.reference import text

KEPT = Path(__file__).resolve().parents[3] / "guide" / "reference.md"


class Command(BaseCommand):
    help = "Print the guide's reference of commands, permissions and problems; ends with 1 where the kept one differs."

    def add_arguments(self, parser):
        parser.add_argument("--keep", action="store_true", help="write it to projects/guide/reference.md")
        parser.add_argument("--check", action="store_true", help="print nothing, only say whether it is current")

    def handle(self, *args, keep, check, **options):
        now = text()
        if keep:
            KEPT.write_text(now)
            return
        if not check:
            self.stdout.write(now)
        if not KEPT.exists() or KEPT.read_text() != now:
            raise CommandError(f"{KEPT.name} is not current: manage.py reference --keep.")
