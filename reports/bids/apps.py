from django.apps import AppConfig


class BidsConfig(AppConfig):
    name = "reports.bids"
    label = "bids"
