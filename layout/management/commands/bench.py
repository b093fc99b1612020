"""`manage.py bench`: how long placing, wiring and light take on this machine, and how good the order of lights is.

Opens no database, but for those IN_A_DATABASE, which make one of their own and drop it. What is timed stands with the
tests.
"""

from importlib import import_module

from django.core.management.base import BaseCommand, CommandError

IN_A_DATABASE = (
    ("takeoff", "takeoff_times", [500]),
    ("rooms", "rooms_times", [600, 6_000]),
    ("ratios", "ratios", [20, 25]),
    ("plans", "room_plans", [500_000]),
)


class Command(BaseCommand):
    help = "Times placing lights and speakers, and the order lights are wired in, and prints two small tables."
    requires_system_checks = ()

    def add_arguments(self, parser):
        parser.add_argument(
            "--takeoff",
            nargs="*",
            type=int,
            metavar="ROOMS",
            help="time the takeoff of jobs of so many rooms instead (500), in a database of its own",
        )

        parser.add_argument("--light", action="store_true", help="time a room's light instead")
        parser.add_argument(
            "--rooms", nargs="*", type=int, metavar="ROOMS",
            help="time the first screen and Rooms for shops of so many rooms (600, 6000), in a database of its own",
        )  # fmt: skip

        parser.add_argument(
            "--ratios", nargs="*", type=int, metavar=("JOBS", "ROOMS"),
            help="pages, an API list and a card's PDF beside the barest of their kind (20 jobs of 25 rooms)",
        )  # fmt: skip
        parser.add_argument(
            "--plans", nargs="*", type=int, metavar="ROOMS",
            help="how the database goes about the pages' queries (500000); meant for PostgreSQL",
        )  # fmt: skip

    def handle(self, *args, light=False, **options):
        names, sizes = ("light_times",) if light else ("placement_times", "wiring_gaps"), None
        for asked, name, usual in IN_A_DATABASE:
            if options.get(asked) is not None:
                names, sizes = (name,), options[asked] or usual
        try:
            parts = [import_module(f"tests.benchmarks.{name}") for name in names]
        except ModuleNotFoundError as missing:
            raise CommandError(f"{missing}. Run this from a checkout: what it times stands with the tests.") from None
        for part in parts:
            for line in part.report() if sizes is None else part.in_its_own_database(sizes):
                self.stdout.write(line)
                self.stdout.flush()
