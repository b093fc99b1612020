"""What every factory stands on."""

import datetime as dt

from factory.django import DjangoModelFactory

DAY = dt.date(2026, 5, 3)
NOON = dt.datetime(2026, 5, 3, 12, tzinfo=dt.UTC)


class Below(DjangoModelFactory):
    """A record below others, whose shop it takes; a test's shop=... is handed up to the highest of them."""

    class Meta:
        abstract = True

    _above = "room__job"

    @classmethod
    def _generate(cls, strategy, params):
        nearest = cls._above.split("__")[0]
        if "shop" in params and nearest not in params:
            params[f"{cls._above}__shop"] = params.pop("shop")
        return super()._generate(strategy, params)
