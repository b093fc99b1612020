from django.apps import AppConfig


class TakeoffsConfig(AppConfig):
    name = "reports.takeoffs"
    label = "takeoffs"

    def ready(self):
        from reports.takeoffs import work  # noqa: F401  registers the counting of a whole job
