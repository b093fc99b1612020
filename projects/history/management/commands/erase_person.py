"""Takes a person's name and address out of everything that may forget them, and says what still names them and why."""

import json
import sys
from dataclasses import asdict

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from projects.history.erasing import CannotBeErased, erase
from projects.history.management.commands.export_person import person_of


class Command(BaseCommand):
    help = "Erase a person: they keep a pseudonym, and sign in no more. It can't be taken back; export_person first."

    def add_arguments(self, parser):
        parser.add_argument("person", help="E-mail, or id")
        parser.add_argument("--dry-run", action="store_true", help="Say what would be done, and do nothing.")
        parser.add_argument("--noinput", action="store_true", help="Do it without asking.")
        parser.add_argument("--json", action="store_true")

    def handle(self, *args, person, dry_run, noinput, **options):
        user = person_of(person)
        if not (dry_run or noinput) and input(f"Erase {user.name} for good? Type yes: ") != "yes":
            self.stderr.write("Nothing was done.")
            sys.exit(1)
        try:
            with transaction.atomic():
                done = erase(user)
                transaction.set_rollback(dry_run)
        except CannotBeErased as why:
            raise CommandError(str(why)) from why
        if options["json"]:
            self.stdout.write(json.dumps(asdict(done)))
            return
        said = "Would be" if dry_run else "Is now"
        self.stdout.write(f"{said} {done.pseudonym}: out of {done.texts} texts, {done.entries} entries of the history.")
        for table, pk, column, why in done.kept:
            self.stdout.write(f"Still there: {table} {pk}, {column}: {why}.")
