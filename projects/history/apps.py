from django.apps import AppConfig


class HistoryConfig(AppConfig):
    name = "projects.history"
    label = "history"
