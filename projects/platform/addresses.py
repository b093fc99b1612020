"""A page's address from its name and the ids in it, as `reverse` gives it, by filling in a shape that is kept.

A screen says some thousand addresses, and all of one page differ by their numbers alone. Knows no particular page.
"""

from django.urls import NoReverseMatch, get_resolver, get_script_prefix, get_urlconf, reverse

FIRST = 7_000_000_001  # stands for the first id while a shape is made; no id in an address looks like it


def address_of(name: str, *ids: int) -> str:
    """The address of the page of that name. Raises NoReverseMatch as `reverse` does."""
    shapes = get_resolver(get_urlconf()).__dict__.setdefault("shapes_of_addresses", {})
    key = (get_script_prefix(), name, len(ids))
    if (shape := shapes.get(key)) is None:
        shape = shapes[key] = _shape(name, len(ids))
    return shape % ids if shape else reverse(name, args=ids)


def _shape(name: str, count: int) -> str:
    """'/rooms/%d/' of a page with so many ids; empty where it takes none so large, or they don't stand in a row."""
    stand_ins = tuple(range(FIRST, FIRST + count))
    try:
        address = reverse(name, args=stand_ins)
    except NoReverseMatch:
        return ""
    shape = address.replace("%", "%%")
    for each in stand_ins:
        shape = shape.replace(str(each), "%d")
    return shape if shape.count("%d") == count and shape % stand_ins == address else ""
