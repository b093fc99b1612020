"""Which tables are walled, and how a row of each is known for its shop's. Read off the models; knows no column by name.

A table that leads to no shop is named here with the reason why none can be told for it.
"""

from projects.platform.parts import own_models
from projects.platform.ways_up import SHOP, as_sql, way_up

# "app.Model": why its rows belong to no one shop.
OF_NO_SHOP = {
    "accounts.User": "a person may work for several shops, and signs in before any is known",
    "doors.Tried": "counts of guesses, by address and e-mail",
    "keeping.BackupMade": "of the installation",
    "keeping.DrillMade": "of the installation",
    "traffic.Count": "counts of requests, by address and key",
    "webhooks.ReadUpTo": "how far the history was read for webhooks",
    "work.Worker": "signs of life of the installation's workers",
}

# Read before a shop is known, to find out which it is; never written then. What else is looked up at the door goes by
# a key that was handed in (a link's, a code's, a phone's) and asks for every shop by name.
AT_THE_DOOR = {
    "accounts.ApiToken": "by the digest of what was sent",
    "accounts.Membership": "the signed-in person's own",
    "accounts.Shop": "the names of the signed-in person's own",
    "joining.Joined": "whether a phone that joined a job is still let in",
}

# Added to by the database itself, for whatever changed, whoever speaks.
ADDED_TO_BY_ANYONE = ("history.Entry",)


def walled() -> dict:
    """{model: SQL for a row's shop, over {row}}"""
    return {model: as_sql(model, way) for model in _tables() if (way := way_up(model, SHOP)) is not None}


def of_no_shop() -> set[str]:
    return {model._meta.label for model in _tables() if way_up(model, SHOP) is None}


def _tables():
    return [model for model in own_models() if model._meta.managed]
