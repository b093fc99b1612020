"""Reads a photometric file of either format, by what is in it; its name is never asked."""

from __future__ import annotations

from layout.engine.light import eulumdat, lm63
from layout.engine.light.lm63 import LightFile


def read(text: str | bytes) -> LightFile:
    """Raises FileError, with line, token and what was expected, when it is no whole file of a known format."""
    return eulumdat.read(text) if eulumdat.looks_like_it(text) else lm63.read(text)
