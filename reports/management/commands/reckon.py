"""`manage.py reckon`: a JSON list of figure cases in, the same list with results out. Opens no database."""

import json
import os
import sys
from argparse import RawDescriptionHelpFormatter
from pathlib import Path

from django.core.management.base import BaseCommand

from reports.figures.batch import NotRead, answered, read_cases, written
from reports.figures.registry import listed

NOT_READ = 2  # exit status when the list was not read
CASES = """\
a list of cases (other keys come through as they are):
  [{"figure": "box.capacity", "inputs": {"volume_in3": 12.5, "awg": 8}},
   {"figure": "joist.hole", "inputs": {"depth_in": 9.25}, "id": "passed through"}]
Each comes back with "result", or with "error" saying what to change. Exit status: 0 when the list was read, else 2.
Nothing here says that an installation complies: check the adopted local code and the labels.
"""


class Command(BaseCommand):
    help = "Reckons figures by name: surveying, wiring, conductors and drop, boxes, speaker wire, reels, bids."
    requires_system_checks = ()

    def create_parser(self, *names, **options):
        return super().create_parser(*names, epilog=CASES, formatter_class=RawDescriptionHelpFormatter, **options)

    def add_arguments(self, parser):
        parser.add_argument("cases", nargs="?", metavar="CASES.json", help="a list of cases, or - for standard input")
        parser.add_argument("--list", action="store_true", help="print every figure with inputs, results, rule, source")

    def handle(self, *args, cases, **options):
        if options["list"]:
            return self.say(json.dumps(listed(), indent=1))
        if cases is None:
            return self.refuse("Name a file of cases, - for standard input, or ask for --list.")
        try:
            found = read_cases(read(cases))
        except NotRead as error:
            return self.refuse(f"{one_line(cases)}: {one_line(str(error))}")
        except OSError as error:
            return self.refuse(f"{one_line(cases)}: can't be read: {error.strerror or error}.")
        return self.say(written([answered(case) for case in found]))

    def say(self, text):
        try:
            self.stdout.write(text)
            self.stdout.flush()
        except BrokenPipeError:  # whoever read has seen enough
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())

    def refuse(self, words):
        self.stderr.write(words)
        sys.exit(NOT_READ)


def read(name):
    if name == "-" and sys.stdin is None:
        raise OSError("standard input is closed")
    return sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()


def one_line(text):
    return "".join(char if char.isprintable() else "?" for char in text)
