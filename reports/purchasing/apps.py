from django.apps import AppConfig


class PurchasingConfig(AppConfig):
    name = "reports.purchasing"
    label = "purchasing"
