"""manage.py restore: put a backup back into an empty place."""

from dataclasses import asdict
from pathlib import Path

from django.core.management.base import CommandError

from projects.keeping import manifest, restore, sqlite_copy
from projects.keeping.telling import TellingCommand


class Command(TellingCommand):
    help = "Put a backup back as this installation (CEILINGBOOK_VAR, DATABASE_URL), which has to be empty."
    requires_migrations_checks = False

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument("backup", type=Path, help="the backup's own folder")
        parser.add_argument("--dry-run", action="store_true", help="check that the backup is whole, and write nothing")

    def handle(self, *args, backup, dry_run, **options):
        try:
            if dry_run:
                told = restore.check(backup)
                self.tell(
                    {"whole": True, "backup": told.name, "made_at": told.made_at, "files": len(told.files)},
                    f"{told.name} is whole: {len(told.files)} files. Nothing was written.",
                )
                return
            done = restore.restore(backup, self.say)
        except (manifest.Unreadable, restore.NotEmpty, sqlite_copy.Unsound) as refused:
            raise CommandError(str(refused)) from None
        for note in done.notes:
            self.say(note)
        self.tell(asdict(done), f"{done.backup} is back: {sum(done.tables.values())} rows, {done.files} files.")
