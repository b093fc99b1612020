"""An older revision's wishes back into the draft, as a way that is taken: one press puts back what was there."""

from django.utils.translation import gettext as _

from layout.frozen import thaw_inputs
from layout.inputs import orientation_of
from layout.offers.taking import FITTINGS, take_way, types_of
from layout.services import draft_of

RESTORED = "restored"
WISHES = (
    "rows", "lights_per_row", "mode_along", "mode_across", "end_setback", "row_setback", "spacing_limit", *FITTINGS,
    "speaker_gaps", "speaker_columns", "typed_along", "typed_across", "zones", "pins", "moved", "rows_of",
    "speaker_rows", "speakers_between",
)  # fmt: skip


class CannotRestore(Exception):
    """The message says why, and what to do first."""


def restore(room, revision, seen_version, *, by):
    """What the revision was asked for, asked for again: laid out with today's readings. The revision stays as it is.

    Raises CannotRestore, StaleVersion, NoLightType.
    """
    inputs = thaw_inputs(revision.inputs)
    if inputs.orientation != orientation_of(room):
        raise CannotRestore(
            _("The zero corner or the rows were turned since: its numbers are from another corner. Turn them back.")
        )
    change = {name: getattr(inputs, name) for name in WISHES}
    types = types_of(room.shop)
    gone = [change[name].name for name in FITTINGS if change[name] and change[name].key not in types]
    if gone:
        words = _("The catalog has no %(types)s any more. Enter it again, then restore.")
        raise CannotRestore(words % {"types": ", ".join(gone)})
    words = _("The numbers of revision %(n)s.") % {"n": revision.number}
    return take_way(
        draft_of(room), seen_version, change, switched=inputs.switched, kind=RESTORED, words=words, cost="",
        reason=_("restored"), by=by,
    )  # fmt: skip
