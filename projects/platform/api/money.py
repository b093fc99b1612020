"""Amounts of money in records that others read too: left out for who may not see prices, in answers and description."""

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from projects.platform.api.bodies import NUMBER, Kind
from projects.platform.permissions import may

SEES_IT = "see prices"
AMOUNT = {"type": "string", "format": "decimal", "x-money": True}


@extend_schema_field(AMOUNT)
class MoneyOut(serializers.DecimalField):
    """An amount, exact, as text. A record that carries one is a WithMoney."""

    def __init__(self, **options):
        super().__init__(**{"max_digits": 13, "decimal_places": 2, "read_only": True, **options})


@extend_schema_field(AMOUNT)
class MoneyIn(serializers.DecimalField):
    """For the description of a body."""


def _shape(form_field, options):
    return MoneyIn(max_digits=13, decimal_places=2, help_text=str(form_field.label or ""), **options)


MONEY_IN = Kind(NUMBER.read, _shape)


class WithMoney:
    """Before a serializer: its context's `member` is told no amount unless that person may see prices."""

    def to_representation(self, record):
        told = super().to_representation(record)
        if not may(self.context["member"], SEES_IT):
            for name in [name for name, field in self.fields.items() if isinstance(field, MoneyOut)]:
                told.pop(name, None)
        return told
