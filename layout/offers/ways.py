"""What a page shows when a layout won't fit: why, and each way out in words, with its drawing. Changes nothing."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from layout.drawing.plan import plan_svg
from layout.engine.findings import Code
from layout.engine.lengths import LengthError
from layout.engine.ways import words
from layout.engine.ways.out import ways_of
from layout.offers.taking import alternatives, key_of, types_of
from layout.plans import plan_of

SMALL = {"width_mm": 132, "height_mm": 100, "number_pt": 9}
# What a page asks ways out for; a broken wish alone (a count, a typed number) is the person's own to change.
ASKS = {Code.ON_A_JOIST, Code.NEAR_A_THING, Code.TOO_DEEP, Code.GAP_OVER_LIMIT}

SAFETY_FIRST = "Won't fit"  # how layout.engine.findings begins what a safety rule forbids


@dataclass(frozen=True, slots=True)
class Offer:
    """One change that a person may take: a way out, or a layout of another kind."""

    key: str
    kind: str
    title: str
    words: str
    change: Mapping[str, object]
    costs: tuple[str, ...] = ()
    still: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()  # its numbers, a line each
    svg: SafeString | str = ""

    @property
    def wont_fit(self):
        """What no taste can help: said before anything else, and not as a thing given up."""
        return tuple(words for words in self.still if words.startswith(SAFETY_FIRST))

    @property
    def gives(self):
        return tuple(words for words in self.still if not words.startswith(SAFETY_FIRST))

    @property
    def cost(self):
        return "; ".join(self.costs)


@dataclass(frozen=True, slots=True)
class WaysPage:
    clash: str = ""
    offers: tuple[Offer, ...] = ()
    missing: tuple[str, ...] = ()
    compromise: str = ""


def ways_page(room, draft, layout, *, drawn=True) -> WaysPage | None:
    """None where nothing asks for a way out. drawn: with a small drawing each."""
    if not any(finding.code in ASKS for finding in layout.arrangement.findings):
        return None
    tape, others = room.job.tape, alternatives(types_of(room.shop), draft)
    try:
        found = ways_of(layout, others)
    except LengthError:
        return None
    names = names_of(room, layout.inputs.orientation)
    return WaysPage(
        clash=words.say_clash(found.clash, tape, names) if found.clash else "",
        offers=tuple(_offer(way, room, tape, names, drawn) for way in found.ways),
        missing=tuple(words.say_missing(missing, tape) for missing in found.missing),
        compromise=words.say_compromise(found.compromise, tape) if found.compromise else "",
    )


def names_of(room, orientation):
    """The walls as the crew calls them: the one each coordinate starts at, and the one it ends at."""
    ways = (("along", orientation.rows_run), ("across", orientation.rows_run.other))
    ends = {name: room.wall_name(orientation.end_side(axis)) for name, axis in ways}
    return ends | {f"zero {name}": room.wall_name(orientation.zero_side(axis)) for name, axis in ways}


def _offer(way, room, tape, names, drawn):
    return Offer(
        key=key_of(way.change),
        kind=way.kind.value,
        title=words.TITLES[way.kind],
        words=words.say_way(way, tape, names),
        change=way.change,
        costs=words.say_costs(way, tape),
        still=words.say_still(way, tape),
        svg=small_plan(way.layout, room, tape, key=f"way-{way.kind.value}") if drawn else "",
    )


def small_plan(layout, room, tape, *, key):
    title = _("Ceiling plan of %s, moved") % room.name
    plan = plan_of(layout, room, tape, title=title, key=key)
    return mark_safe(plan_svg(plan, interactive=False, **SMALL))
