"""A proposed layout into the draft, its levels into what is set for the room's light; one press puts both back."""

from django.db import transaction
from django.utils.translation import gettext as _

from layout.light.choices import proposing
from layout.light.choices.proposed import laid_out, title_of
from layout.light.services import change_setup, setup_of
from layout.offers import taking
from projects.work.models import State

KIND = "light_proposal"


@transaction.atomic
def take(draft, seen_version, setup, seen_setup, *, change, levels, words, reason, by):
    """levels: zone letter -> percent. Raises StaleVersion when draft or setup changed since they were seen."""
    before = _levels(setup)
    stored = change_setup(setup, seen_setup, {}, zones=_zones(setup, levels))
    also = {"levels": before, "setup_version": stored.version}
    return taking.take_way(
        draft, seen_version, change, kind=KIND, words=words, cost="", reason=reason, by=by, also=also
    )  # fmt: skip


class NotOffered(Exception):
    """What was chosen is on offer no more. The message says why, and what to do."""


def take_offered(room, light, told, seen_version, *, by):
    """One of the room's last search's layouts. told: a TakeForm's cleaned data.

    Raises NotOffered, StaleVersion, LengthError.
    """
    work = proposing.last_search(room)
    offered = work.outcome.get("trade_offs", []) if work is not None and work.state == State.DONE else []
    if work is None or work.pk != told["work"] or told["number"] >= len(offered) or light.made is None:
        raise NotOffered(_("These layouts were searched for again, or the room changed. Look at them anew."))
    one = offered[told["number"]]
    if not laid_out(light.layout, one).arrangement.fits:
        raise NotOffered(_("The room changed and this layout breaks a rule now. Search again."))
    return take(
        light.draft, seen_version, light.setup, told["setup_version"],
        change=proposing.change_from_plain(one["change"]), levels=one["levels"],
        words=f"{title_of(one) or _('By light')}: {proposing.count_words(one)}", reason=told["reason"], by=by,
    )  # fmt: skip


def put_levels_back(room, kept):
    """The levels kept when a way was taken, unless they were changed since; gives those of now. For `also_put_back`."""
    setup = setup_of(room)
    if "levels" not in kept or setup.version != kept["setup_version"]:
        return None
    now = _levels(setup)
    stored = change_setup(setup, setup.version, {}, zones=_zones(setup, kept["levels"], exactly=True))
    return {"levels": now, "setup_version": stored.version}


def _levels(setup):
    return {zone.letter: zone.dim_percent for zone in setup.rows("zones")}


def _zones(setup, levels, *, exactly=False):
    """The setup's zones at these levels, each with its own light type as it was.

    exactly: a zone that no level is said for, and that has no light type of its own, is let go.
    """
    types = {zone.letter: zone.light_type for zone in setup.rows("zones")}
    now = {} if exactly else _levels(setup)
    percents = now | {letter: 100 for letter, own in types.items() if own is not None and letter not in now} | levels
    return [
        {"letter": letter, "dim_percent": percent, "light_type": types.get(letter)}
        for letter, percent in sorted(percents.items())
    ]
