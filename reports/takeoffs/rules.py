"""The takeoff rules a shop counts by: its own newest version, or those the program came with. No page, no form."""

import json
from functools import lru_cache

from projects.catalogue.tables import read_takeoff_rules, takeoff_rules, takeoff_table
from reports.estimating.kept_text import canonical, digest_of
from reports.takeoffs.models import RulesVersion


def newest(shop):
    """The newest RulesVersion, or None: the shop never changed a rule."""
    return RulesVersion.objects.of(shop).order_by("-number").first()


def rules_of(shop):
    """What a shop counts by, as TakeoffRules."""
    version = newest(shop)
    return takeoff_rules() if version is None else _read(version.body)


def counted_by(shop):
    """(the shop's rules, the digest of their text), with one query."""
    body, seal = body_of(shop)
    return read_rules(body), seal


def table_of(shop):
    """(the rules as JSON's own values, the number they are saved under; 0: the program's)."""
    version = newest(shop)
    return (takeoff_table(), 0) if version is None else (json.loads(version.body), version.number)


def text_of(table):
    return canonical(table)


def body_of(shop):
    """The rules' text and its digest."""
    version = newest(shop)
    return (version.body, version.digest) if version else default_body()


@lru_cache
def default_body():
    # Decimals don't occur in this table: every number that isn't whole stands as text.
    text = canonical(takeoff_table())
    return text, digest_of(text)


@lru_cache(maxsize=64)
def _read(body):
    return read_takeoff_rules(json.loads(body))


def read_rules(body):
    """Rules from their text, as a kept takeoff has them."""
    return _read(body)
