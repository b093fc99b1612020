"""Prices, rates, labor units, and what rooms really took. Tells the shop's rules when its currency stands."""

from django.apps import AppConfig


class PricesConfig(AppConfig):
    name = "reports.prices"
    label = "prices"

    def ready(self):
        from projects.accounts.services import KEEPS_MONEY
        from reports.prices.services import has_prices

        KEEPS_MONEY.append(has_prices)
