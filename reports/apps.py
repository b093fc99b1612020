from django.apps import AppConfig


class ReportsConfig(AppConfig):
    name = "reports"

    def ready(self):
        from reports import in_shop_files, recomputing, stage_guards  # noqa: F401  they register themselves
        from reports.webhook_events import tell

        tell()
