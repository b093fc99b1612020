"""manage.py recompute --check: does what is stored still come out the same?"""

import sys
from dataclasses import asdict

from django.core.management.base import CommandError

from projects.keeping import recompute
from projects.keeping.telling import TellingCommand


class Command(TellingCommand):
    help = "Work out anew what is stored, and compare: issued layouts, texts kept word for word. Changes nothing."

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument("--check", action="store_true", help="required: this command only ever compares")
        parser.add_argument("--most", type=int, help="so many of each kind, spread evenly (all)")

    def handle(self, *args, check, most, **options):
        if not check:
            raise CommandError("Say --check. What was issued is never written again, so there is nothing else to do.")
        if most is not None and most < 1:
            raise CommandError("--most: compare at least 1.")
        told = recompute.again(most)
        lines = [f"{one.kind}: {one.compared} of {one.stored} compared, {one.others} other" for one in told]
        lines += [f"  other now: {what}" for one in told for what in one.other]
        self.tell([asdict(one) for one in told], "\n".join(lines))
        if any(one.others for one in told):
            sys.exit(1)
