"""Writes everything that is kept of one person into a file of JSON."""

import json
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.core.serializers.json import DjangoJSONEncoder

from projects.accounts.models import User
from projects.history.persons import copy_of


def person_of(said: str) -> User:
    """By e-mail, or by id. Raises CommandError."""
    rows = User.objects.filter(pk=int(said)) if said.isdecimal() else User.objects.filter(email=said.casefold())
    if (found := rows.first()) is None:
        raise CommandError(f"Nobody here is {said}. Give an e-mail address or the id of a person.")
    return found


class Command(BaseCommand):
    help = "Write all that is kept of a person, in every shop, into a file."

    def add_arguments(self, parser):
        parser.add_argument("person", help="E-mail, or id")
        parser.add_argument("--out", required=True, metavar="FILE")

    def handle(self, *args, person, out, **options):
        told = copy_of(person_of(person), whole=True)
        path = Path(out)
        path.touch(mode=0o600)
        path.write_text(json.dumps(told, cls=DjangoJSONEncoder, ensure_ascii=False, indent=1))
        rows = len(told["named_by_key"]) + len(told["named_in_words"])
        self.stdout.write(f"{path}: {rows} rows, {len(told['did'])} entries of the history.")
