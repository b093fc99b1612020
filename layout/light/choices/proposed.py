"""What the page of proposals shows of a search that is done: the trade-off, and what is on offer with its plan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from string import ascii_uppercase

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from layout.engine.findings import say
from layout.engine.lengths import LengthError, meters, nanometers
from layout.engine.light.optimize import Name
from layout.engine.light.targets import Asked, Line
from layout.engine.room import RoomLayout, lay_out
from layout.light.choices.proposing import NAMES, RULES, change_from_plain, count_words
from layout.light.pictures import Choice, Picture, Told, trade_off_chart
from layout.light.queries import RoomLight
from layout.light.words import AskedWords, asked_words
from layout.offers.ways import small_plan


@dataclass(frozen=True, slots=True)
class Offer:
    """A proposal as it is shown. number: its place in the search. broken: rules it breaks now; then it isn't taken."""

    number: int
    letter: str  # what the chart calls it
    title: str
    counts: str
    lines: tuple[str, ...]
    wanted: tuple[AskedWords, ...]
    found: tuple[str, ...]
    reason: str
    broken: tuple[str, ...] = ()
    svg: SafeString | str = ""


@dataclass(frozen=True, slots=True)
class Proposed:
    chart: Picture | None
    offers: tuple[Offer, ...]
    now: tuple[str, ...]
    meets: bool
    tried: str
    ruled_out: tuple[str, ...]
    outdated: bool


def proposed(light: RoomLight, outcome) -> Proposed:
    """outcome: of a search that is done. light: the room as it is now, with its layout."""
    told = Told(light.room.job.tape)
    found = outcome["trade_offs"]
    numbers = [number for number, one in enumerate(found) if one["names"]]
    numbers.sort(key=lambda number: Name.NEAREST.value not in found[number]["names"])
    letters = dict(zip(numbers, ascii_uppercase, strict=False))
    offers = tuple(_offer(light, number, letters[number], found[number], told) for number in numbers)
    return Proposed(
        chart=_chart(found, letters, told) if found else None,
        offers=offers,
        now=_lines(outcome["now"], told),
        meets=any(all(_line(one).met for one in each["lines"]) for each in found),
        tried=_tried(outcome, told),
        ruled_out=tuple(
            f"{RULES[code]}: {count}"
            for code in RULES
            if (count := outcome["ruled_out"].get(code.value))
        ),
        outdated=outcome["digest"] != light.made.digest,
    )  # fmt: skip


def _chart(found, letters, told: Told) -> Picture:
    return trade_off_chart(
        [_point(one, letters.get(number), told) for number, one in enumerate(found)], told=told, joined=False
    )


def laid_out(layout: RoomLayout, plain) -> RoomLayout:
    """A proposal in the room as it is now. Raises LengthError."""
    return lay_out(replace(layout.inputs, **change_from_plain(plain["change"])), layout)


def title_of(plain) -> str:
    words = ", ".join(str(NAMES[name]) for name in plain["names"])
    return words[:1].upper() + words[1:]


def _offer(light: RoomLight, number: int, letter: str, one, told: Told) -> Offer:
    tape = told.tape
    svg: SafeString | str = ""
    try:
        layout = laid_out(light.layout, one)
        broken = tuple(say(finding, tape) for finding in layout.arrangement.findings)
        broken = () if layout.arrangement.fits else broken
        svg = small_plan(layout, light.room, tape, key=f"proposal-{number}")
    except LengthError as refused:
        broken = (str(refused),)
    return Offer(
        number=number, letter=letter, title=title_of(one), counts=count_words(one), lines=_lines(one, told),
        wanted=tuple(asked_words(_line(each), told) for each in one["lines"]), found=tuple(one["found"]),
        reason=title_of(one), broken=broken, svg=svg,
    )  # fmt: skip


def _lines(one, told: Told) -> tuple[str, ...]:
    return tuple(_said(one, told))


def _said(one, told: Told) -> Iterator[str]:
    tape = told.tape
    ends, rows = (tape.show(nanometers(each)) for each in one["off"])
    yield _("ends %(ends)s off the wall, rows %(rows)s") % {"ends": ends, "rows": rows}
    yield _("plane %(level)s, undimmed %(full)s") % {
        "level": told.both(one["plane_lx"]), "full": told.level(one["full_lx"])
    }  # fmt: skip
    yield _("walls %(ratio)s of the plane, darkest strip %(strip)s, least over average %(even)s") % {
        "ratio": _ratio(one["ratio"]), "strip": told.level(one["strip_lx"]), "even": _ratio(one["even"]),
    }  # fmt: skip
    yield level_words(one["levels"])
    if one["used"] is not None:
        yield _("%(used)s W so, %(watts)s W undimmed") % {"used": f"{one['used']:.0f}", "watts": f"{one['watts']:.0f}"}


def level_words(levels) -> str:
    if len(set(levels.values())) == 1:
        return _("all at %(percent)s %%") % {"percent": next(iter(levels.values()))}
    return ", ".join(
        _("zone %(zone)s at %(percent)s %%") % {"zone": zone, "percent": percent} for zone, percent in levels.items()
    )


def _ratio(value) -> str:
    return _("dark") if value is None else f"{value:.2f}"


def _point(one, letter: str | None, told: Told) -> Choice:
    off = told.setback(meters(nanometers(one["off"][0])))
    name = letter or f"{one['rows']} × {one['in_row']}, {off}"
    said = _("%(counts)s; least over average %(even)s; %(levels)s") % {
        "counts": count_words(one), "even": _ratio(one["even"]), "levels": level_words(one["levels"]),
    }  # fmt: skip
    return Choice(name, one["ratio"] or 0.0, one["full_lx"], said, chosen=bool(one["names"]))


def _line(plain) -> Line:
    asked, wanted, found, unit, at_least = plain
    return Line(Asked(asked), wanted, found, unit, at_least)


def _tried(outcome, told: Told) -> str:
    tape = told.tape
    low, high = (tape.show(nanometers(each)) for each in outcome["off"])
    return _(
        "%(tried)s layouts were laid out: one line in the middle, or as many as the spacing limit asks for and up to "
        "%(more)s more each way, at most %(most)s lights; held %(low)s to %(high)s off the wall in steps of %(step)s, "
        "half a gap off and a whole gap off. %(fit)s kept every rule of placing and were computed. Nothing finer was "
        "tried."
    ) % {
        "tried": outcome["tried"], "more": outcome["more"], "most": outcome["most_lights"], "low": low, "high": high,
        "step": tape.show(nanometers(outcome["step"])), "fit": outcome["fit"],
    }  # fmt: skip
