"""Light in the trade's words: what was computed, where it is bad, why the lumen method says another number."""

from dataclasses import dataclass

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from layout.engine.light.patterns import SOURCE, WALLS_LEAST
from layout.engine.light.patterns import Kind as PatternKind
from layout.engine.light.targets import Asked, Line
from layout.light.pictures.values import Told

ASKED = {
    Asked.PLANE: _("average on the work plane"),
    Asked.PLANE_MOST: _("average on the work plane, at most"),
    Asked.UNIFORMITY: _("least over average"),
    Asked.WALLS: _("walls, average"),
    Asked.CEILING: _("ceiling, average"),
    Asked.WALL_RATIO: _("walls over plane"),
    Asked.POWER: _("power"),
}
LIMITS = (
    _("Every surface is taken as matte. Mirrors, gloss paint and windows at night send light where this doesn't say."),
    _("The room is empty: furniture, shelves and people take light, most of all from the floor and the lower walls."),
    _("Daylight and other lamps are not in it."),
    _("Nearer to a light than five times its opening its opening is cut in parts; a file was never measured so near."),
    _("A light's own spread is its maker's, or a smooth lobe where there is no file: real ones are rougher."),
)  # fmt: skip
OTHER_WAY = _("Here it is the other way round: in this room, with these lights, nearer is darker.")
OF_ALL_WALLS = (PatternKind.DARK_WALLS, PatternKind.BRIGHT_WALLS)
MUCH = 2.0  # times what is asked: said, since light costs fixtures and power
UNCERTAIN = _("For work where a level is asked by rule, local code and the licensed designer decide.")


def changed_by(now: float, then: float) -> str:
    """From one to the other in percent, with its sign. now: above 0."""
    return f"{100 * (then / now - 1):+.0f}".replace("-", "−")


@dataclass(frozen=True, slots=True)
class AskedWords:
    """What was wanted beside what is computed. word: met or short, never a verdict on a rule."""

    name: str
    wanted: str
    found: str
    word: str
    met: bool


def asked_words(line: Line, told: Told) -> AskedWords:
    level = line.unit == "lx"
    said = told.both if level else (lambda value: f"{value:.2f}")
    off = abs(line.off)
    if line.met and level and line.at_least and line.found >= MUCH * line.wanted > 0:
        word = gettext("met, %s times that") % f"{line.found / line.wanted:.1f}"
    elif line.met:
        word = gettext("met")
    elif (much := told.number(off) if level else f"{off:.2f}") in ("0", "0.00"):
        word = gettext("just short") if line.at_least else gettext("just over")
    else:
        word = (gettext("short by %s") if line.at_least else gettext("over by %s")) % (
            told.level(off) if level else much
        )
    return AskedWords(str(ASKED[line.asked]), said(line.wanted), said(line.found), word, line.met)


def answer(found, seen, told: Told) -> str:
    """Will the walls go dark? found: Measures; seen: its patterns. One or two sentences, the numbers in them."""
    if found.wall_over_plane is None:
        return gettext("At these levels no light reaches the work plane.")
    kinds = {one.kind for one in seen}
    if PatternKind.DARK_WALLS in kinds:
        verdict = gettext("The walls go dark")
    elif PatternKind.CAVE in kinds:
        verdict = gettext("The upper walls go dark")
    elif PatternKind.BRIGHT_WALLS in kinds:
        verdict = gettext("The walls are bright")
    else:
        verdict = gettext("The walls don't go dark")
    said = gettext(
        "%(verdict)s: %(walls)s on them, %(plane)s on the work plane, %(ratio)s of it. Dark is under %(limit)s "
        "(%(source)s)."
    ) % {
        "verdict": verdict, "walls": told.both(found.walls_avg_lx), "plane": told.both(found.plane_avg_lx),
        "ratio": _ratio(found.wall_over_plane), "limit": WALLS_LEAST, "source": gettext(SOURCE),
    }  # fmt: skip
    strip = found.worst_strip
    if strip is None:
        return said
    least = gettext("The darkest strip gets %(level)s: %(wall)s, %(low)s to %(high)s up.") % {
        "level": told.level(strip.lx), "wall": strip.wall, "low": told.length(strip.low_m),
        "high": told.length(strip.high_m),
    }  # fmt: skip
    return f"{said} {least}"


def _ratio(value: float) -> str:
    """To two places; to three where two would read as the limit itself."""
    return f"{value:.3f}" if round(value, 2) == WALLS_LEAST else f"{value:.2f}"


def pattern_words(pattern, told: Told) -> str:
    n = pattern.numbers
    where = pattern.name
    match pattern.kind:
        case PatternKind.SCALLOP:
            at = ", ".join(told.length(one) for one in pattern.at_m[:6])
            return gettext(
                "Scallops on the %(wall)s: %(pools)d pools of %(peak)s with %(dark)s between them, %(ratio)s to 1, at "
                "%(height)s up. From its left end as you face it they stand at %(at)s."
            ) % {
                "wall": where, "pools": n["pools"], "peak": told.level(n["pool_lx"]),
                "dark": told.level(n["between_lx"]), "ratio": f"{pattern.found:.1f}",
                "height": told.length(pattern.height_m), "at": at,
            }  # fmt: skip
        case PatternKind.HOT_WALL:
            return gettext(
                "A hot spot on the %(wall)s: %(most)s where the plane has %(plane)s, %(height)s up, %(at)s from "
                "its left."
            ) % {
                "wall": where, "most": told.level(n["most_lx"]), "plane": told.level(n["plane_lx"]),
                "height": told.length(pattern.height_m), "at": told.length(pattern.at_m[0]),
            }  # fmt: skip
        case PatternKind.CAVE:
            return gettext(
                "A cave: %(share)d %% of the upper walls get less than a tenth of the plane's light. They average "
                "%(walls)s, the plane %(plane)s."
            ) % {
                "share": round(100 * pattern.found), "walls": told.level(n["upper_walls_lx"]),
                "plane": told.level(n["plane_lx"]),
            }  # fmt: skip
        case PatternKind.DARK_WALLS | PatternKind.BRIGHT_WALLS:
            said = gettext("The walls are dark: %(walls)s against %(plane)s on the plane, %(ratio)s of it.")
            if pattern.kind is PatternKind.BRIGHT_WALLS:
                said = gettext("The walls are bright: %(walls)s against %(plane)s on the plane, %(ratio)s of it.")
            return said % {
                "walls": told.level(n["walls_lx"]), "plane": told.level(n["plane_lx"]), "ratio": f"{pattern.found:.2f}",
            }  # fmt: skip
        case PatternKind.STRIPE:
            at = ", ".join(told.length(one) for one in pattern.at_m[:6])
            wall = gettext("left wall") if pattern.along == "x" else gettext("door wall")
            said = gettext("Lanes on the plane, %(ratio)s to 1 against the dark between: at %(at)s from the %(wall)s.")
            return said % {
                "ratio": f"{pattern.found:.1f}", "at": at, "wall": wall,
            }  # fmt: skip
    return pattern.kind.value


def lumen_words(beside, computed_lx: float, told: Told) -> str:
    """Why the lumen method says another level than what was computed."""
    off = beside.level_lx / computed_lx - 1 if computed_lx else 0.0
    much = gettext("%(percent)d %% more") if off >= 0 else gettext("%(percent)d %% less")
    said = gettext(
        "The lumen method says %(level)s, %(off)s. It spreads the lights evenly and knows no place: it sends "
        "%(table)d %% of the downward light straight to the plane; with the lights where they are, %(here)d %% falls "
        "there."
    ) % {
        "level": told.both(beside.level_lx), "off": much % {"percent": round(100 * abs(off))},
        "table": round(100 * beside.direct), "here": round(100 * beside.direct_here),
    }  # fmt: skip
    if abs(beside.direct - beside.direct_here) < 0.02:
        why = gettext("The rest is what its one number for each cavity makes of the walls' and the floor's share.")
    elif beside.direct_here > beside.direct:
        why = gettext("Lights well inside the walls, or narrow ones, put more straight on the plane than that.")
    else:
        why = gettext("Lights near the walls put more on them and less straight on the plane than that.")
    return f"{said} {why}"


def aims_gone(aims) -> list[str]:
    words = gettext("Light %(n)s of row %(row)s was aimed and isn't there now. Its aim is kept.")
    return [words % {"n": aim.number, "row": aim.row} for aim in aims]


def lights(count: int) -> str:
    return ngettext("%(n)d light", "%(n)d lights", count) % {"n": count}
