"""The two houses, and each page as a person first got it, for all that walk the pages."""

from tests.walk.walked import (  # noqa: F401
    house,
    house_standing,
    neighbor,
    neighbor_standing,
    owner,
    packets_unprinted,
    seen,
)
