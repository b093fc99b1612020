from django.apps import AppConfig


class TakeoffsConfig(AppConfig):
    name = "reports.takeoffs"
    label = "takeoffs"
