from django.apps import AppConfig


class FiguresConfig(AppConfig):
    name = "reports.figures"
    label = "figures"
