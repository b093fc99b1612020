"""What the two searches for a reel plan give and take: whole numbers, no units, no money."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Kind:
    """A pack to buy. weight: what one of it adds to what is made least. place: in the caller's list."""

    length: int
    weight: int
    place: int


@dataclass(frozen=True, slots=True)
class Bin:
    """One reel and the pieces on it, by their places in the list searched. place: of the kind or the opened reel."""

    length: int
    place: int
    items: tuple[int, ...]
    opened: bool = False


@dataclass(frozen=True, slots=True)
class Mix:
    """The reels of a plan. exact False: no plan weighs less than no_less."""

    bins: tuple[Bin, ...]
    exact: bool
    no_less: int = 0
