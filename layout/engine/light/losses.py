"""What takes light away over the years: the light-loss factor as a chain of named shares. Pure numbers."""

from __future__ import annotations

from dataclasses import dataclass, fields

from layout.engine.light.values import LightError

# lumen depreciation .85: the mean of new and the end of an LED's rated life, where 70 % is left (that end: from memory,
# IES TM-21 speaks of it as L70). The others: a clean room, wiped once a year, failed lights replaced.
PRACTICE = "common practice, no source"
WHOLE_CHAIN = (0.7, 0.9)  # what is usual for LED lights in all; common practice, no source
CLEAN_ROOM, VERY_DIRTY = 0.67, 0.50  # EN 12464-1:2011 reference maintenance factors, on a handbook page (seen)


@dataclass(frozen=True, slots=True)
class Losses:
    """Each the share that is left, over 0 to 1; 1 takes nothing off. Raises LightError naming the one out of reach.

    lld: lamp or LED lumen depreciation. ldd: dirt on the light. rsdd: dirt on the room's surfaces. lbo: lights burnt
    out. other: driver, heat, a dimmer that trims. (Names: IES Lighting Handbook, from memory.)
    """

    lld: float = 1.0
    ldd: float = 1.0
    rsdd: float = 1.0
    lbo: float = 1.0
    other: float = 1.0

    def __post_init__(self) -> None:
        for one in fields(self):
            value = getattr(self, one.name)
            if not 0 < value <= 1:
                raise LightError(f"{one.name}: {value:g} is no share that is left. Give over 0, to 1.", one.name)

    @property
    def factor(self) -> float:
        """The light-loss factor: all of them multiplied."""
        return self.lld * self.ldd * self.rsdd * self.lbo * self.other

    @property
    def chain(self) -> tuple[Link, ...]:
        """Each share with what is left after it, in the order they are told."""
        links, left = [], 1.0
        for one in fields(self):
            share = getattr(self, one.name)
            left *= share
            links.append(Link(one.name, share, left, getattr(USUAL, one.name)))
        return tuple(links)


@dataclass(frozen=True, slots=True)
class Link:
    """One loss: its share, what is left of the light after it and those before it, and what is usual for it."""

    name: str
    share: float
    left: float
    usual: float


USUAL = Losses(lld=0.85, ldd=0.94, rsdd=0.98)
