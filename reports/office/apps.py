from django.apps import AppConfig


class OfficeConfig(AppConfig):
    name = "reports.office"
    label = "office"

    def ready(self):
        from reports.office import belongings  # noqa: F401
