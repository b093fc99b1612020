from django.apps import AppConfig


class ChangesConfig(AppConfig):
    name = "reports.changes"
    label = "changes"
