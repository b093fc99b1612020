"""manage.py backup: the database and every file it names, while people work."""

import datetime as dt
from pathlib import Path

from django.core.management.base import CommandError
from django.utils import timezone

from projects.keeping import backup, queries
from projects.keeping.telling import TellingCommand


class Command(TellingCommand):
    help = "Make a backup: the database at one moment and every file it names, checked, while people work."

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument("--to", type=Path, help="the folder of the backups (CEILINGBOOK_BACKUPS, or var/backups)")
        parser.add_argument("--keep", type=int, metavar="N", help="afterwards take away all but the newest N")
        parser.add_argument("--if-older", type=int, metavar="MINUTES", help="only when the last one is older than this")
        parser.add_argument("--dry-run", action="store_true", help="say where it would go, and make none")

    def handle(self, *args, to, keep, if_older, dry_run, **options):
        place, last = to or backup.default_place(), queries.last_backup()
        if keep is not None and keep < 1:
            raise CommandError("--keep: keep at least 1.")
        if if_older is not None and last and timezone.now() - last.made_at < dt.timedelta(minutes=if_older):
            self.tell({"made": None, "last": last.name}, f"None made: the last is of {last.made_at:%Y-%m-%d %H:%M}.")
            return
        if dry_run:
            self.tell({"made": None, "place": str(place)}, f"A backup would be made in {place}.")
            return
        try:
            made = backup.make(place)
            gone = backup.forget_old(place, keep) if keep else []
        except OSError as refused:
            said = f"{place}: {refused.strerror}. Nothing was kept; make room, or give another --to."
            raise CommandError(said) from None
        if made.missing:
            self.stderr.write(f"{made.missing} files that records name are gone: they stand in the manifest.")
        self.tell(
            {"made": made.name, "place": str(place / made.name), "bytes": made.bytes, "files": made.files,
             "missing": made.missing, "seconds": made.seconds, "digest": made.digest, "gone": gone,
             "keys": backup.keys()},
            f"{place / made.name}: {made.files} files, {made.bytes} bytes, {made.seconds:.1f} s.\n"
            "Keep CEILINGBOOK_SECRET_KEY apart from it: the key is not in the backup.",
        )  # fmt: skip
