"""manage.py restore_drill: put the newest backup back, elsewhere, and see that it can be worked with."""

import datetime as dt
import json
import sys
from pathlib import Path

from django.core.management.base import CommandError
from django.utils import timezone

from projects.keeping import backup, drill, queries
from projects.keeping.telling import TellingCommand


class Command(TellingCommand):
    help = "Restore the newest backup into a place of its own, look it over, sign in, write, and keep a receipt."

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument("--from", type=Path, dest="place", help="the folder of the backups (as backup has it)")
        parser.add_argument("--most", type=int, default=20, help="stored results worked out anew, of each kind (20)")
        parser.add_argument("--if-older", type=int, metavar="DAYS", help="only when the last that held is older")

    def handle(self, *args, place, most, if_older, **options):
        last = queries.last_drill_that_held()
        if if_older is not None and last and timezone.now() - last.at < dt.timedelta(days=if_older):
            self.tell({"held": None, "last": str(last.at)}, f"None made: the last that held is of {last.at:%Y-%m-%d}.")
            return
        try:
            receipt = drill.drill(place or backup.default_place(), most, self.say)
        except drill.NoBackup as refused:
            raise CommandError(str(refused)) from None
        told = json.loads(receipt.report)
        lines = [f"{receipt.backup}: {'it holds' if receipt.held else 'IT DOES NOT HOLD'}, {receipt.seconds:.1f} s."]
        self.tell(
            {"backup": receipt.backup, "held": receipt.held, "seconds": receipt.seconds, "report": told},
            "\n".join(lines + told["faults"]),
        )
        if not receipt.held:
            sys.exit(1)
