"""manage.py demo: bring the database up to date, load the demo shop, print sign-ins, write its documents, serve it."""

import threading

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand

from projects.accounts.models import RoleChoice
from projects.work import worker
from reports.demo.documents import write_documents
from reports.demo.scenario import PASSWORD, load


class Command(BaseCommand):
    help = "Load the demo shop and serve it on 127.0.0.1."

    def add_arguments(self, parser):
        parser.add_argument("--port", type=int, default=8000, help="the port to serve on (8000)")
        parser.add_argument(
            "--no-serve", action="store_true", help="write every demo document into var/demo/ and stop, serving nothing"
        )

    def handle(self, *args, port, no_serve, **options):
        self._now("Bringing the database up to date ...")
        call_command("migrate", verbosity=0, interactive=False)
        self._now("Entering the demo shop, if it is not there yet: a minute or more ...")
        shop = load()
        self.stdout.write(f"{shop.name}: sign in with the password {PASSWORD}")
        for member in shop.members.filter(user__email__isnull=False).select_related("user").order_by("pk"):
            self.stdout.write(f"  {RoleChoice(member.role).label:<10}  {member.user.email}")
        if no_serve:
            folder = settings.VAR_DIR / "demo"
            written = write_documents(shop, folder)
            self.stdout.write(f"{written} documents in {folder}/")
            return
        self.stdout.write(f"Rooms: http://127.0.0.1:{port}/  (Ctrl-C stops it)")
        self.stdout.flush()
        # Long work is done in here, beside the pages; what the end cuts short is taken up again at the next start.
        threading.Thread(target=worker.run, daemon=True).start()
        call_command("runserver", f"127.0.0.1:{port}", use_reloader=False, verbosity=0)

    def _now(self, words):
        """Said at once, even into a file: what follows takes a while."""
        self.stdout.write(words)
        self.stdout.flush()
