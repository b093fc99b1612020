"""Holds the history against its own digests and seals, and says what was touched."""

import json
import sys
from dataclasses import asdict
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from projects.history.chain import Head, verify
from projects.history.install import missing


class Command(BaseCommand):
    help = "Check that no entry of the history was changed, taken out, put in or moved. Ends with 1 where one was."

    def add_arguments(self, parser):
        parser.add_argument("--json", action="store_true")
        parser.add_argument("--against", metavar="FILE", help="What seal --json printed once: those seals must stand.")

    def handle(self, *args, against, **options):
        found, untold = verify(_known(against)), missing()
        if options["json"]:
            self.stdout.write(json.dumps(asdict(found) | {"tables_not_told": untold}))
        else:
            self._say(found, untold)
        if found.findings or untold:
            sys.exit(1)

    def _say(self, found, untold):
        self.stdout.write(f"{found.entries} entries, {found.sealed} of them under {found.seals} seals.")
        for each in found.findings:
            where = f"Shop {each.shop or '-'}" + (f", entry {each.entry}" if each.entry else "")
            self.stdout.write(f"{where}: {each.what}.")
        for table in untold:
            self.stdout.write(f"{table}: its changes are not told. Run manage.py migrate.")
        if not (found.findings or untold):
            self.stdout.write("All as it was written.")


def _known(path):
    if not path:
        return []
    try:
        return [Head(**each) for each in json.loads(Path(path).read_text())]
    except (OSError, ValueError, TypeError) as why:
        raise CommandError(f"{path} is not what seal --json prints: {why}") from why
