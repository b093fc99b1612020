from django.apps import AppConfig


class WiringConfig(AppConfig):
    name = "reports.wiring"
    label = "wiring"
