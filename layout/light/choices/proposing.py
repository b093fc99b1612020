"""A search for a layout by its light, as long work: what it is given and what came out, as plain values."""

from __future__ import annotations

from django.urls import reverse
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from layout.engine.findings import Code
from layout.engine.lengths import LengthError, nanometers
from layout.engine.light.optimize import Name, Proposal, Search, propose
from layout.engine.light.targets import Target
from layout.engine.light.values import LightError
from layout.engine.pins import Moved, Pin
from layout.engine.rows.wish import Mode
from layout.light import words
from layout.light.choices.shining import Shining
from layout.light.models import LightUnit
from layout.light.pictures import Told
from layout.light.queries import RoomLight, light_of
from layout.light.scene import NoLight
from projects.jobs.queries import room_of
from projects.work import services
from projects.work.kinds import kind
from projects.work.models import LONGEST_WORDS, State, Work, canonical
from projects.work.running import WorkFailed

KIND = "light proposals"
LOOKED_AT = 30  # of the shop's last searches, for this room's
LENGTHS = ("end_setback", "row_setback", "spacing_limit")
MODES = ("mode_along", "mode_across")
HELD: dict[str, tuple[Pin | Moved, ...]] = {"typed_along": (), "typed_across": (), "pins": (), "moved": ()}
RULES = {
    Code.GAP_OVER_LIMIT: _("lights farther apart than the limit"),
    Code.SETBACK_OUTSIDE: _("outer lights that can't stand so far off the wall"),
    Code.TOO_CLOSE_TO_EDGE: _("holes too near the ceiling's edge"),
    Code.HOLES_TOO_CLOSE: _("holes too near one another"),
    Code.SPEAKER_NEAR_LIGHT: _("speakers too near lights"),
    Code.NOTHING_INSIDE_CAPS: _("more lights than fit"),
    Code.ON_A_JOIST: _("lights on framing"),
    Code.NEAR_A_THING: _("lights too near something overhead"),
    Code.TOO_DEEP: _("lights too deep for what is above"),
    Code.OUTSIDE_OUTLINE: _("lights outside the ceiling"),
    Code.ON_REGION_EDGE: _("lights on the edge of a tray or soffit"),
    Code.OUTLINE_OFF_TAPE: _("an outline that differs from the tape"),
    Code.OFF_TILE: _("lights off the middle of a tile"),
    Code.IN_A_CUT_TILE: _("lights in cut tiles"),
    Code.TOO_FEW_TILES: _("more lights than tiles"),
    Code.OFF_THE_MIDDLE: _("lights that can't mirror in these tiles"),
}


def start(room, asked, by):
    """asked: a ProposeForm's cleaned data. What is searched for already is given back."""
    factor = LightUnit(asked["unit"]).in_lux
    given = {
        "room_id": room.pk,
        "lux": round(float(asked["level"]) * factor, 4),
        "wall_ratio": _number(asked["wall_ratio"]),
        "uniformity": _number(asked["uniformity"]),
        "spacing_limit": int(asked["spacing_limit"]),
    }
    title = gettext("Layouts by light for %(room)s") % {"room": room.name}
    return services.start(room.shop, KIND, given, by, title=title)


def _number(value):
    return None if value is None else float(value)


def _page(work):
    return reverse("light_propose", args=[work.asked_for["room_id"]])


@kind(KIND, may="read rooms", where=_page)
def search(work, progress):
    """Begun again, it is done over: the same room gives the same layouts."""
    room, asked = room_of(work.shop, work.asked_for["room_id"]), work.asked_for
    light = light_of(room, solve_it=False)
    if light.made is None:
        raise WorkFailed(light.refused or " ".join(f"{one.words} {one.remedy}" for one in light.missing))
    target = Target(lux=asked["lux"], wall_ratio=asked["wall_ratio"], uniformity=asked["uniformity"])
    try:
        found = propose(
            light.layout, target, Shining(room, light.setup, light.draft),
            spacing_limit=nanometers(asked["spacing_limit"]), progress=progress.at,
        )  # fmt: skip
    except (LengthError, LightError, NoLight) as refused:
        raise WorkFailed(str(refused)) from refused
    return as_plain(found, light)


def last_search(room) -> Work | None:
    """The room's last one that was not cancelled."""
    recent = Work.objects.of(room.shop_id).filter(kind=KIND).exclude(state=State.CANCELLED).order_by("-pk")[:LOOKED_AT]
    return next((work for work in recent if work.asked_for.get("room_id") == room.pk), None)


# As plain values


def as_plain(found: Search, light: RoomLight) -> dict:
    told = Told(light.room.job.tape)
    bounds = found.bounds
    plain = {
        "digest": light.made.digest,
        "now": _plain(found.now, told, patterns=False),
        "trade_offs": [_plain(one, told, patterns=bool(one.names)) for one in found.trade_offs],
        "tried": found.tried, "fit": found.fit, "refused": found.refused, "alike": found.alike,
        "ruled_out": {code.value: count for code, count in found.ruled_out.items()},
        "step": int(bounds.step), "off": [int(each) for each in bounds.off], "more": bounds.more,
        "most_lights": bounds.most_lights,
    }  # fmt: skip
    return _within(plain)


def _within(plain: dict) -> dict:
    """Many layouts of many zones are longer than an outcome may be: those with nothing to say for them go first."""
    kept, over = plain["trade_offs"], len(canonical(plain)) - LONGEST_WORDS
    for one in [one for one in kept if not one["names"]][::-1]:
        if over <= 0:
            break
        kept.remove(one)
        over -= len(canonical(one)) + 1
    return plain


def _plain(one: Proposal, told: Told, *, patterns: bool) -> dict:
    rows, columns = one.layout.arrangement.rows, one.layout.arrangement.columns
    return {
        "change": change_as_plain(one.change),
        "names": [name.value for name in one.names],
        "lights": one.lights, "rows": len(rows), "in_row": len(columns), "parts": len(one.layout.zones),
        "off": [int(columns[0]) if columns else 0, int(rows[0]) if rows else 0],
        "full_lx": _short(one.full.plane_avg_lx), "plane_lx": _short(one.measures.plane_avg_lx),
        "ratio": _short(one.measures.wall_over_plane), "even": _short(one.measures.min_over_avg),
        "strip_lx": _short(one.measures.worst_strip.lx),
        "watts": _short(one.full.watts), "used": None if _watts_unknown(one) else _short(one.used),
        "levels": {zone: round(100 * level) for zone, level in one.levels.items()},
        "lines": [[line.asked.value, line.wanted, _short(line.found), line.unit, line.at_least] for line in one.lines],
        "found": [words.pattern_words(each, told)[:400] for each in one.found[:2]] if patterns else [],
    }  # fmt: skip


def _watts_unknown(one: Proposal) -> bool:
    return one.full.watts is None or "watts" in one.full.notes


def _short(value):
    return None if value is None else float(f"{value:.5g}")


def change_as_plain(change) -> dict:
    return {
        name: int(value) if name in LENGTHS else value.value if name in MODES else value
        for name, value in change.items()
        if name not in HELD
    }


def change_from_plain(plain) -> dict:
    """Fields of RoomInputs; what a person typed, pinned or moved is let go."""
    change = {}
    for name, value in plain.items():
        if name in LENGTHS:
            change[name] = nanometers(value)
        elif name in MODES:
            change[name] = Mode(value)
        else:
            change[name] = tuple(value) if isinstance(value, list) else value
    return {**HELD, **change}


NAMES = {
    Name.NEAREST.value: _("nearest to what is wanted"),
    Name.FEWEST.value: _("fewest lights"),
    Name.BRIGHTEST.value: _("brightest walls"),
    Name.LEAST.value: _("least power"),
    Name.EVENEST.value: _("most even"),
}


def count_words(one) -> str:
    lights = words.lights(one["lights"])
    rows = ngettext("%(n)d row", "%(n)d rows", one["rows"]) % {"n": one["rows"]}
    said = gettext("%(lights)s, %(rows)s of %(in_row)d") % {"lights": lights, "rows": rows, "in_row": one["in_row"]}
    return gettext("%(said)s in the largest part") % {"said": said} if one.get("parts", 0) > 1 else said
