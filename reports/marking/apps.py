from django.apps import AppConfig


class MarkingConfig(AppConfig):
    name = "reports.marking"
    label = "marking"

    def ready(self):
        from reports.marking import entry  # noqa: F401  registers what a phone may enter of marks
