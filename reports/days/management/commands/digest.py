"""manage.py digest: send the day's letter to all who asked for it. Run it each morning; none is sent twice."""

import datetime as dt

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from reports.days import services
from reports.days.letter import letter_for


def address(path):
    """A page's full address; without CEILINGBOOK_PUBLIC_URL the path alone."""
    return f"{settings.PUBLIC_URL}{path}"


class Command(BaseCommand):
    help = "Send the day's letter by e-mail to those who asked for it (to the console unless CEILINGBOOK_MAIL is set)."

    def add_arguments(self, parser):
        parser.add_argument("--on", help="the day, as 2026-12-01 (today)")
        parser.add_argument("--dry-run", action="store_true", help="say who would get one, and send nothing")

    def handle(self, *args, on, dry_run, **options):
        day = _day(on)
        sent, failed = 0, 0
        for letter in services.letters_for(day):
            who = f"{letter.member.user.email}, {letter.member.shop}"
            if dry_run:
                self.stdout.write(f"would be sent: {who}")
                continue
            if not services.take_letter(letter, day):
                continue
            try:
                letter_for(letter.member, day, address).send()
            except Exception as error:  # one address that fails keeps nobody else's letter
                services.put_letter_back(letter, letter.sent_on)
                failed += 1
                self.stderr.write(f"not sent: {who}: {error}")
            else:
                sent += 1
        self.stdout.write(f"{sent} letters sent for {day}.")
        if failed:
            raise CommandError(f"{failed} letters were not sent. The next run tries them again.")


def _day(text):
    try:
        return dt.date.fromisoformat(text) if text else timezone.localdate()
    except ValueError:
        raise CommandError(f"--on: {text} is no day. Write it as 2026-12-01.") from None
