"""`manage.py place`: room files in, one line of JSON out for each. Opens no database."""

import sys
from argparse import RawDescriptionHelpFormatter
from pathlib import Path

from django.core.management.base import BaseCommand

from layout.engine.placement.answer import answer
from layout.engine.placement.problem import ProblemError

BAD_FILE = 2  # exit status when any file could not be taken as it stands
FILE = """\
a room file (lengths in its unit, "in" or "mm"; the lines after spacing_max may be left out):
  {"unit": "in", "L": 187.5, "W": 98.5, "rows": 2, "cols": 4,
   "light": {"cutout_d": 4.25, "clear": 0.25},
   "end_setback": {"min": 12, "max": 20, "pref": 15},
   "row_setback": {"min": 14, "max": 24, "pref": 18},
   "spacing_max": 72, "row_spacing_max": 72, "edge_min": 2, "web_min": 1.5,
   "speaker": {"cutout_d": 8, "clear": 0.25, "gaps": [1, 3], "off_max": 3},
   "joists": [{"dir": "across", "oc": 16, "first": 6, "width": 1.5}],
   "obstructions": [{"type": "circle", "x": 56, "y": 18, "r": 3, "clear": 1},
                    {"type": "rect", "x0": 90, "y0": 40, "x1": 110, "y1": 52, "clear": 1}],
   "tile": {"px": 24, "py": 24, "ox": 0, "oy": 0},
   "even_tol": 0.0625, "uneven_max": 6, "row_uneven_max": 0.0625,
   "id": "passed through", "note": "passed through"}
Rows run along L, the longer side. Joists "across" stand across the rows, "along" beside them; first is the center of
one of them from the left or the lower edge. What is left out or finer than a tape shows is named, not guessed.
"""


class Command(BaseCommand):
    help = "Places lights and speakers in each room file; prints one JSON object a line, in the order given."
    requires_system_checks = ()

    def create_parser(self, *names, **options):
        return super().create_parser(*names, epilog=FILE, formatter_class=RawDescriptionHelpFormatter, **options)

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
