"""Why a moved mark is asked about, and what moves with it, in words. Works nothing out."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.engine.findings import say
from layout.engine.ways.crew_move import CHANGES_THE_CABLE, Asks

ASKS = {
    Asks.ALONE: gettext_lazy("%(mark)s would leave its line."),
    Asks.MIDDLE: gettext_lazy("%(mark)s is on the middle line: nothing mirrors it."),
    Asks.SHAPE: gettext_lazy("This ceiling has zones, an outline or tiles: moves there are asked."),
    Asks.FRAMING: gettext_lazy("Nobody has entered which way the joists run."),
    Asks.ACROSS: gettext_lazy("%(by)s of it is across the joists."),
    Asks.LIMIT: gettext_lazy("%(mark)s would stand %(by)s farther off than may be moved without asking."),
    Asks.OVERHEAD: gettext_lazy("%(mark)s would come %(by)s too near %(near)s."),
}


def said(why, tape) -> str:
    """One reason to ask."""
    if why.asks is Asks.RULES:
        return say(why.finding, tape)
    by = "" if why.by is None else tape.show(why.by)
    return ASKS[why.asks] % {"mark": why.mark, "by": by, "near": why.near}


def all_said(found, tape) -> str:
    """Every reason, and what a long move does to cable and bid. Marks as near to the same thing are told at once."""
    told = list(dict.fromkeys(said(why, tape) for why in found.asks if why.asks is not Asks.OVERHEAD))
    near: dict = {}
    for why in found.asks:
        if why.asks is Asks.OVERHEAD:
            near.setdefault((tape.show(why.by), why.near), []).append(why.mark)
    for (by, what), marks in near.items():
        told.append(str(ASKS[Asks.OVERHEAD]) % {"mark": ", ".join(marks), "by": by, "near": what})
    if found.changes_the_cable:
        told.append(cable_changes(tape))
    return " ".join(told)


def cable_changes(tape) -> str:
    return _("More than %s: count the cable again, and the bid changes.") % tape.show(CHANGES_THE_CABLE)


def off_in_words(off, tape) -> str:
    """How far off along and across, signed: +2" along, -1/4" across."""
    ways = [(_("along"), off[0]), (_("across"), off[1])]
    shown = [f"{'+' if by.nm > 0 else ''}{tape.show(by)} {way}" for way, by in ways if tape.rounded(by)]
    return ", ".join(shown)
