"""The records that other tests stand on hold together: everything a factory makes lies in one shop."""

import pytest
from django.apps import apps

from tests.factories import FACTORIES, OWN_APPS, Below, ShopFactory


def test_every_model_of_ours_has_a_factory():
    ours = {model for model in apps.get_models() if model._meta.app_label in OWN_APPS}
    assert set(FACTORIES) == ours


# A person may work in several shops; who types a code is in none yet.
OF_NO_SHOP = (
    "accounts.User", "doors.Tried", "keeping.BackupMade", "keeping.DrillMade", "work.Worker", "webhooks.ReadUpTo",
)  # fmt: skip


def shops_around(record, seen=None):
    """The shops of a record and of every record it points to."""
    seen = set() if seen is None else seen
    if record in seen:
        return set()
    seen.add(record)
    shops = {record} if record._meta.label == "accounts.Shop" else set()
    for field in record._meta.concrete_fields:
        if field.is_relation and (target := getattr(record, field.name)) is not None:
            shops |= shops_around(target, seen)
    return shops


@pytest.mark.django_db
@pytest.mark.parametrize("model", sorted(FACTORIES, key=lambda model: model._meta.label), ids=lambda m: m._meta.label)
def test_all_that_a_factory_makes_lies_in_one_shop(model):
    around = shops_around(FACTORIES[model]())
    assert len(around) == (0 if model._meta.label in OF_NO_SHOP else 1)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "made",
    [made for made in FACTORIES.values() if issubclass(made, Below)],
    ids=lambda made: made._meta.model.__name__,
)
def test_a_shop_given_far_below_is_the_shop_of_everything_above(made):
    shop = ShopFactory()
    assert shops_around(made(shop=shop)) == {shop}
