"""What there is to say of loads, dimmers and boxes, in plain words with the rule and where it is from.

Nothing here says that a design complies: each is a caution to check against local code and the product's own sheet.
"""

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.engine.wiring.zone_loads import CableWhy, Said

CONTINUOUS = "NEC 210.20(A), 2017 to 2023: 125 % of a load that runs 3 h or more; lighting usually counts as one"
FILL = "NEC 314.16(B), 2017 to 2023"
GANG = "The product's own sheet; side sections taken as off wherever another device stands beside it, common practice"
LED = "The product's own sheet: its LED rating, not the one for filament lamps"


@dataclass(frozen=True, slots=True)
class Told:
    """tone: 'bad' where a number is passed, 'warn' where one isn't known, 'good' otherwise. rule: where it is from."""

    tone: str
    words: str
    rule: str = ""


def watts(value) -> str:
    """12 W, 12.5 W."""
    return f"{value:.1f}".removesuffix(".0")


def of_dimmer(zone):
    """zone: loads.ZoneLoad."""
    one = zone.dimmer
    if one is None:
        return
    name = zone.record.control_type.name if zone.record and zone.record.control_type else ""
    told = {
        "zone": zone.letter, "name": name, "load": watts(zone.load.watts), "limit": watts(one.limit_w or 0),
        "least": watts(one.least_w or 0), "off": (_("no side"), _("one side"), _("both sides"))[one.off],
    }  # fmt: skip
    for said in one.said:
        tone, words, rule = _OF_DIMMER[said]
        yield Told(tone, words() % told, rule)


_OF_DIMMER = {
    Said.KEEPS: (
        "good",
        lambda: _("Zone %(zone)s: %(load)s W on %(name)s, with %(off)s off: its sheet gives %(limit)s W of LED lamps."),
        LED,
    ),
    Said.TOO_MUCH: (
        "bad",
        lambda: _(
            "Zone %(zone)s: %(load)s W is over the %(limit)s W that %(name)s takes with %(off)s off. Split the zone, "
            "move the dimmer to the end of its box, or take one with a higher LED rating."
        ),
        GANG,
    ),
    Said.TOO_LITTLE: (
        "warn",
        lambda: _(
            "Zone %(zone)s: %(load)s W is under the least load of %(name)s, %(least)s W: lamps may flicker or stay lit."
        ),
        LED,
    ),
    Said.LEAST_UNKNOWN: (
        "warn",
        lambda: _("Zone %(zone)s: the least load of %(name)s is not on file. Read it off its sheet."),
        LED,
    ),
    Said.NO_PRODUCT: (
        "warn",
        lambda: _("Zone %(zone)s has a dimmer, and nobody has said which: its LED rating isn't known."),
        LED,
    ),
    Said.NOT_ON_SHEET: (
        "warn",
        lambda: _(
            "Zone %(zone)s: no LED rating of %(name)s with %(off)s off is on file. Read it off its sheet; it is not "
            "guessed here."
        ),
        GANG,
    ),
    Said.SECTIONS_UNKNOWN: (
        "warn",
        lambda: _(
            "Zone %(zone)s: %(name)s stands beside another device, and nobody has read whether its side sections come "
            "off. Its rating there isn't known."
        ),
        GANG,
    ),
    Said.WATTS_UNKNOWN: (
        "warn",
        lambda: _("Zone %(zone)s: not all of its lights' watts are known; %(load)s W at least."),
        "",
    ),
}


def of_circuit(one):
    """one: loads.CircuitLoad."""
    on = one.on
    told = {
        "number": one.circuit.number, "va": watts(on.load.va), "most": watts(on.most_va), "left": watts(on.left_va),
        "amps": one.circuit.breaker_amps, "volts": one.circuit.volts, "unknown": on.load.va_unknown,
        "waiting": ", ".join(one.waiting),
    }  # fmt: skip
    if on.over:
        words = _(
            "Circuit %(number)s: %(va)s VA is over the %(most)s VA that 80 %% of %(amps)s A at %(volts)s V is. "
            "Put a zone on another circuit."
        )
        yield Told("bad", words % told, CONTINUOUS)
    else:
        words = _("Circuit %(number)s: %(va)s VA of the %(most)s VA that 80 %% of %(amps)s A at %(volts)s V is.")
        yield Told("good" if on.known and not one.waiting else "warn", words % told, CONTINUOUS)
    if on.load.va_unknown:
        words = _(
            "%(unknown)s lights on it have no VA or power factor on file: counted by their watts, where known. They "
            "draw more, never less."
        )
        yield Told("warn", words % told)
    if one.waiting:
        yield Told("warn", _("Not counted yet, nothing was issued there: %(waiting)s.") % told)
    if one.others > 0:
        words = _(
            "Circuit %(number)s is in %(rooms)s rooms. Its homerun, breaker and panel connector count once, in "
            "%(home)s. The others are fed from there: set the feet of each feed by hand on its room's wiring page."
        )
        yield Told("warn", words % (told | {"rooms": one.others + 1, "home": one.home}))


CABLES = {
    CableWhy.FEED_IN: lambda of: _("feed of circuit %s") % of if of else _("feed"),
    CableWhy.FEED_ON: lambda of: (
        _("feed of circuit %s on to the next box") % of if of else _("feed on to the next box")
    ),
    CableWhy.LEG: lambda of: _("to the lights of zone %s") % of,
    CableWhy.TRAVELERS: lambda of: _("travelers of zone %s") % of,
}


def cable(one):
    """one: zone_loads.Cable."""
    told = {"n": one.conductors, "awg": one.awg, "why": CABLES[one.why](one.of)}
    return _("%(n)s conductors %(awg)s AWG and a ground: %(why)s") % told


def box_name(box):
    return box.name or _("the room's switch box")


def of_box(box):
    """box: zone_loads.SwitchBox."""
    told = {"box": box_name(box), "fill": f"{box.fill.in3:.2f}", "gangs": box.gangs}
    if box.choice:
        least = box.choice[0]
        words = _(
            "Box %(box)s: %(gangs)s gang, at least %(fill)s cubic inches. The smallest on file that holds it: %(name)s."
        )
        yield Told("good", words % (told | {"name": least.name}), FILL)
    else:
        words = _(
            "Box %(box)s: %(gangs)s gang, at least %(fill)s cubic inches. No box on file holds it: take a deeper one, "
            "or bring fewer cables into it."
        )
        yield Told("bad", words % told, FILL)


CAUTIONS = (
    gettext_lazy("These are sums, no verdict: the adopted code, its inspector and the licensed trade decide."),
    gettext_lazy("Dimmer, driver and lamp have to be on one compatibility list. Write down which, and who looked."),
    gettext_lazy(
        "The volume marked on a box counts, and a neutral is asked for at most switches: NEC 404.2(C), from memory."
    ),
    gettext_lazy(
        "Inrush of LED drivers can trip a breaker or weld a switch far below these sums: the product sheet says."
    ),
)
