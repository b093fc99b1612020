"""manage.py sbom: the packages this installation runs on, as CycloneDX."""

import json
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from projects.platform.sbom import CannotList, document


class Command(BaseCommand):
    help = "Print what this installation is built of as a CycloneDX document (JSON), each package with its version."
    requires_system_checks = ()

    def add_arguments(self, parser):
        parser.add_argument("--to", type=Path, metavar="FILE", help="write it to FILE")
        parser.add_argument("--all", action="store_true", help="with what only tests and linters need")

    def handle(self, *args, to, **options):
        try:
            text = json.dumps(document(options["all"]), indent=1, sort_keys=True)
        except CannotList as why:
            raise CommandError(str(why)) from None
        if to is None:
            self.stdout.write(text)
            return
        try:
            to.write_text(text + "\n")
        except OSError as refused:
            raise CommandError(f"--to: {to}: {refused.strerror}.") from None
        self.stdout.write(f"{len(json.loads(text)['components'])} packages in {to}.")
