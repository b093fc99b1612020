"""A command that tells a person, or with --json a program. Knows nothing of what is told."""

import json

from django.core.management.base import BaseCommand


class TellingCommand(BaseCommand):
    """Subclasses call `tell(values, words)` once, at the end; `say` on the way there goes to stderr."""

    def add_arguments(self, parser):
        parser.add_argument("--json", action="store_true", dest="as_json", help="tell it as JSON")
        parser.add_argument("--noinput", action="store_true", help="nothing is ever asked; taken for scripts' sake")

    def execute(self, *args, **options):
        self.as_json = options.get("as_json", False)
        return super().execute(*args, **options)

    def tell(self, values, words):
        self.stdout.write(json.dumps(values, sort_keys=True, default=str) if self.as_json else words)

    def say(self, words):
        if not self.as_json:
            self.stderr.write(words)
