"""Django's flush, which empties every table: the history goes with them, and nothing else may take it away."""

from django.core.management.commands.flush import Command as Flush

from projects.history.flags import FLUSH, allowed, without_history


class Command(Flush):
    def handle(self, **options):
        with allowed(FLUSH), without_history():
            super().handle(**options)
