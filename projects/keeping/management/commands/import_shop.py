"""manage.py import_shop: take a shop in from its file, as a new shop."""

from pathlib import Path

from django.core.management.base import CommandError

from projects.files.store import QuotaFull
from projects.keeping import shop_in
from projects.keeping.shop_file import Refused
from projects.keeping.telling import TellingCommand


class Command(TellingCommand):
    help = "Take a shop in from its file, as a new shop beside those that are here; all of it, or nothing."

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument("file", type=Path, help="what export_shop, or the owner's page, gave")
        parser.add_argument("--dry-run", action="store_true", help="try all of it, and take it back")

    def handle(self, *args, file, dry_run, **options):
        try:
            done = shop_in.take_in(file, dry_run=dry_run, say=self.say)
        except Refused as refused:
            raise CommandError("Nothing was taken in.\n" + str(refused)) from None
        except (QuotaFull, OSError) as full:
            raise CommandError(f"Nothing was taken in. {full}") from None
        told = {"shop": done.shop.pk, "name": done.shop.name, "rows": done.rows, "files": done.files}
        told |= {"missing": done.missing, "new_people": done.new_people, "kept": not dry_run}
        words = f"{done.shop.name}: {done.rows} rows, {done.files} files"
        words += " would come in." if dry_run else f" came in as shop {done.shop.pk}."
        if done.new_people:
            words += f"\nWithout a password yet: {', '.join(done.new_people)}. Each sets one by “Forgot password”."
        self.tell(told, words)
