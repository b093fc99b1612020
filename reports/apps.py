from django.apps import AppConfig


class ReportsConfig(AppConfig):
    name = "reports"

    def ready(self):
        from reports import stage_guards  # noqa: F401  its guards register themselves
