"""Rows of the demo's tables as records take them: lengths and numbers stand in them as text."""

from decimal import Decimal

from projects.catalogue.tables import read_length


def row_of(told, lengths, numbers=frozenset()):
    """lengths, numbers: the names of those. What is not known (null) stays so."""

    def value(name, one):
        if one is None:
            return None
        if name in lengths:
            return read_length(one)
        return Decimal(one) if name in numbers else one

    return {name: value(name, one) for name, one in told.items()}
