"""What stands at the head of every printed page, and how a document becomes paper. Knows no content."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from django.utils.translation import gettext as _

from layout.engine.lengths import Distance, Unit, feet, mm


class Paper(StrEnum):
    LETTER = "letter"
    A4 = "A4"


PAPERS = {"letter": Paper.LETTER, "a4": Paper.A4}  # as an address asks for it


@dataclass(frozen=True, slots=True)
class RoomRef:
    """A room as paper names it. revision None: no layout was issued, so the counts come from the draft.

    lid_holes: how many holes an isolated lid gets; 0 for any other ceiling. counted: nobody has measured the room.
    """

    name: str
    level: str = ""
    revision: int | None = None
    short_hash: str = ""
    lid_holes: int = 0
    counted: bool = False

    @property
    def stamp(self) -> str:
        if self.counted:
            return _("counted, not laid out")
        if self.revision is None:
            return _("draft, not issued")
        return _("rev %(number)s · %(hash)s") % {"number": self.revision, "hash": self.short_hash}


@dataclass(frozen=True, slots=True)
class Head:
    """Whose paper this is. room None: the whole job; its rooms then carry their own revisions."""

    shop: str
    job_number: str
    job_name: str
    printed_on: date
    room: RoomRef | None = None


def amount(quantity: Fraction | Distance, unit: Unit, places: int = 1) -> str:
    """A quantity without its unit: pieces as 12 or 2 1/2, cable in feet (or meters) to so many places, half up."""
    if isinstance(quantity, Distance):
        step = feet(1) if unit is Unit.INCH else mm(1000)
        return _rounded(quantity.nm / step.nm, places)
    whole, part = divmod(quantity, 1)
    if not part:
        return str(whole)
    return f"{whole} {part}" if whole else str(part)


def plain(value: Decimal | int | None) -> str:
    """12 rather than 12.00; nothing for an absent number."""
    return "" if value is None else f"{Decimal(value).normalize():f}"


def cable_unit(unit: Unit) -> str:
    return _("ft") if unit is Unit.INCH else _("m")


def _rounded(value: Fraction, places: int) -> str:
    scaled = value * 10**places
    whole = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    digits = f"{whole:0{places + 1}d}"
    return f"{digits[:-places]}.{digits[-places:]}" if places else digits
