from django.apps import AppConfig


class ReportsConfig(AppConfig):
    name = "reports"

    def ready(self):
        from reports import in_shop_files, recomputing, shop_lists, stage_guards, webhook_events  # noqa: F401

        webhook_events.tell()
