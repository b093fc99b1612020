"""Which lines a shop's takeoffs can have, so that each can have a price. The part that keeps the rules tells them."""

from projects.catalogue.models import FixtureType
from projects.catalogue.tables import takeoff_rules

MOST_GANGS = 4  # the largest switch box that is usual; a larger one comes on the list with the job that has it

# shop -> its TakeoffRules. Takeoffs stand above prices and put their own here when the program starts.
RULES = [lambda shop: takeoff_rules()]


def rules_for(shop):
    """The rules the shop counts by now."""
    return RULES[-1](shop)


def known_lines(shop, rules) -> dict[str, tuple[str, str, str]]:
    """Every line a takeoff of this shop can have: key -> name, unit, category. rules: the shop's takeoff rules."""
    found = {}
    types = list(FixtureType.objects.of(shop).filter(retired=False).values_list("key", "name", "kind", "install"))
    for item in rules.items.values():
        if item.category != "fixtures":
            found[item.key] = (item.name, item.unit, item.category)
            if item.per == "gang_box":
                for gangs in range(2, MOST_GANGS + 1):
                    found[f"{item.key}:{gangs}_gang"] = (f"{item.name}, {gangs}-gang", item.unit, item.category)
            continue
        for key, name, kind, install in types:
            if kind == item.per and (not item.installs or install in item.installs):
                found[f"{item.key}:{key}"] = (f"{name}: {item.name}", item.unit, item.category)
    for cable in rules.cables.values():
        found[f"cable:{cable.key}"] = (cable.name, "length", "cable")
    return found
