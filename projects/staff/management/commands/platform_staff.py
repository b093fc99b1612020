"""Who of the people may see every shop's tables under CEILINGBOOK_ADMIN: list, add and remove."""

import json

from django.core.management.base import BaseCommand, CommandError

from projects.accounts.models import User
from projects.platform.speaking import speaking


class Command(BaseCommand):
    help = "Lists platform staff; --add and --remove take the e-mail of somebody who signs in here."

    def add_arguments(self, parser):
        which = parser.add_mutually_exclusive_group()
        which.add_argument("--add", metavar="EMAIL")
        which.add_argument("--remove", metavar="EMAIL")
        parser.add_argument("--json", action="store_true")

    def handle(self, *args, add=None, remove=None, json=False, **options):
        email = (add or remove or "").casefold()
        with speaking(via="command"):
            people = User.objects.filter(email=email, is_active=True)
            if email and not people.update(is_staff=bool(add)):
                raise CommandError(f"Nobody signs in as {email}. Check the e-mail, or invite them into a shop first.")
        staff = list(User.objects.filter(is_staff=True).order_by("email").values_list("email", flat=True))
        self.stdout.write(_told(staff, json))


def _told(staff, as_json):
    if as_json:
        return json.dumps({"staff": staff})
    return "\n".join(staff) or "Nobody is platform staff."
