"""Taking a choice between looks and angle: the mark moves, and what was there can be put back. Works nothing out."""

from django.utils.translation import gettext as _

from layout.offers.taking import take_way
from layout.sound.choose import moved_to

KINDS = ("keep", "other", "in_line", "compromise", "meet")
TAKEN = tuple(f"sound_{kind}" for kind in KINDS)


def take_choice(heard, page, choice, seen_version, *, by):
    """Gives what was done, in words. Raises StaleVersion."""
    words = f"{choice.title}: {choice.move}"
    take_way(
        heard.draft,
        seen_version,
        {"moved": moved_to(heard, page.mark, choice.at)},
        kind=f"sound_{choice.kind}",
        words=words,
        cost=_("%(off)s off the pattern; %(deg)s off its range") % {"off": choice.off_pattern, "deg": choice.off_angle},
        reason=_("%(mark)s plays %(channel)s") % {"mark": page.mark, "channel": page.channel},
        by=by,
    )
    return words
