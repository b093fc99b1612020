"""The crew's phone: the day's rooms with and without signal."""

from importlib import import_module
from pkgutil import iter_modules

from django.apps import AppConfig


class FieldConfig(AppConfig):
    name = "reports.field"
    label = "field"

    def ready(self):
        kinds = import_module("reports.field.kinds")
        for found in iter_modules(kinds.__path__):
            import_module(f"reports.field.kinds.{found.name}")
        from projects.history.recorded import quiet
        from projects.joining.services import LEFT_BEHIND, on_end
        from reports.field.queries import left_on_phones
        from reports.field.services import end_phones_of

        quiet("field.Phone", "last_seen", "waiting", "waiting_since", "version")
        LEFT_BEHIND.append(left_on_phones)
        on_end.append(end_phones_of)
