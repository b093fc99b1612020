from django.apps import AppConfig


class PricesConfig(AppConfig):
    name = "reports.prices"
    label = "prices"
