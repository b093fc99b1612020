"""The three parts that this program is made of, and their tables. Knows nothing of what is in them."""

from django.apps import apps
from django.db import models

PARTS = ("projects", "layout", "reports")


def is_own(model: type[models.Model]) -> bool:
    """Whether a table is ours, and not a framework's."""
    return model._meta.app_config.name.partition(".")[0] in PARTS


def own_models() -> list[type[models.Model]]:
    """Every table of ours, also those that only join two others."""
    return [model for model in apps.get_models(include_auto_created=True) if is_own(model)]
