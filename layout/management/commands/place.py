"""`manage.py place`: room files in, one line of JSON out for each. Opens no database."""

import sys
from pathlib import Path

from django.core.management.base import BaseCommand

from layout.engine.placement.answer import answer
from layout.engine.placement.problem import ProblemError

BAD_FILE = 2  # exit status when any file could not be taken as it stands


class Command(BaseCommand):
    help = "Places lights and speakers in each room file; prints one JSON object a line, in the order given."
    requires_system_checks = ()

    def add_arguments(self, parser):
        parser.add_argument("rooms", nargs="+", metavar="ROOM.json", help="a room file, or - for standard input")

    def handle(self, *args, rooms, **options):
        bad = False
        for name in rooms:
            try:
                line = answer(read(name))
            except (ProblemError, OSError, UnicodeDecodeError) as error:
                bad = True
                self.stderr.write(f"{one_line(name)}: {one_line(reason(error))}")
            else:
                self.stdout.write(line)
                self.stdout.flush()
        if bad:
            sys.exit(BAD_FILE)


def read(name):
    if name == "-" and sys.stdin is None:
        raise OSError("standard input is closed")
    data = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
    return data.decode("utf-8-sig")


def reason(error):
    if isinstance(error, UnicodeDecodeError):
        return f"Not UTF-8 text (byte {error.start}). Save the file as UTF-8."
    if isinstance(error, OSError):
        return f"Can't be read: {error.strerror or error}."
    return str(error)


def one_line(text):
    return "".join(char if char.isprintable() else "?" for char in text)
