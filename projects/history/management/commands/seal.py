"""Seals what the history holds, in every shop, and says where each chain stands."""

import json
import sys
from dataclasses import asdict

from django.core.management.base import BaseCommand

from projects.history.chain import PATIENCE, seal


class Command(BaseCommand):
    help = "Seal what was written to the history. Keep what --json prints elsewhere: verify_audit --against reads it."

    def add_arguments(self, parser):
        parser.add_argument("--json", action="store_true")
        parser.add_argument("--patience", type=float, default=PATIENCE, help="Seconds to wait for those who write.")

    def handle(self, *args, patience, **options):
        heads = seal(patience)
        if heads is None:
            self.stderr.write("Somebody kept writing. Nothing was sealed; run this again.")
            sys.exit(3)
        if options["json"]:
            self.stdout.write(json.dumps([asdict(head) for head in heads]))
            return
        for head in heads:
            self.stdout.write(f"Shop {head.shop or '-'}: seal {head.number}, {head.digest}")
