"""`manage.py translations`: what is not said in a language yet; with --take, takes translations from a JSON file."""

import json
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError


class Command(BaseCommand):
    help = "Lists what has no translation, or takes translations from a JSON file of [message, translation] pairs."

    def add_arguments(self, parser):
        parser.add_argument("--language", default="es")
        parser.add_argument("--under", default="", help="only messages of files that start so, e.g. reports/field")
        parser.add_argument("--take", type=Path, help="a JSON file: a list of [message, translation]")
        parser.add_argument("--json", action="store_true", help="print what is missing as JSON")

    def handle(self, *args, language, under, take, **options):
        from projects.platform import catalogs  # needs Babel, which only those who translate have

        if take:
            catalogs.write(language, dict(_pairs(take)))
        found = catalogs.messages()
        missing = [
            one
            for one in catalogs.untranslated(language, found)
            if not under or any(path.startswith(under) for path in found[one])
        ]
        if options["json"]:
            self.stdout.write(json.dumps(missing, ensure_ascii=False, indent=0))
        else:
            self.stdout.write(f"{len(found)} messages, {len(missing)} without a word in {language}.")


def _pairs(path):
    try:
        pairs = json.loads(path.read_text())
    except (OSError, ValueError) as unread:
        raise CommandError(f"{path} can't be read as JSON: {unread}") from unread
    for message, said in pairs:
        yield (
            tuple(message) if isinstance(message, list) else message,
            tuple(said) if isinstance(said, list) else said,
        )
