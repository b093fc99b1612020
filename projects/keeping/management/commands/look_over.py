"""manage.py look_over: does this installation hold together?"""

import sys
from dataclasses import asdict

from django.core.management.base import CommandError

from projects.keeping import looking_over, recompute, sqlite_copy
from projects.keeping.telling import TellingCommand


class Command(TellingCommand):
    help = "Look an installation over: its database, rows, files and stored results. With --try, also use it (a drill)."

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument("--most", type=int, default=20, help="stored results worked out anew, of each kind (20)")
        parser.add_argument("--try", action="store_true", dest="use_it", help="sign in and write, in a drill's place")

    def handle(self, *args, most, use_it, **options):
        try:
            rows = looking_over.rows()
            used = looking_over.sign_in_and_write() if use_it else {}
        except (sqlite_copy.Unsound, looking_over.NotThrowaway) as refused:
            raise CommandError(str(refused)) from None
        again, missing = recompute.again(most), looking_over.missing_files()
        sound = not any(one.others for one in again) and all(held for held in used.values())
        told = {"sound": sound, "rows": rows, "missing": missing, "again": [asdict(one) for one in again], "used": used}
        lines = [f"{one.kind}: {one.compared} of {one.stored} compared, {one.others} other" for one in again]
        lines += [f"{name}: {'yes' if held else 'NO'}" for name, held in used.items()]
        lines += [f"{sum(rows.values())} rows in {len(rows)} tables, {len(missing)} files missing"]
        self.tell(told, "\n".join(lines))
        if not sound:
            sys.exit(1)
