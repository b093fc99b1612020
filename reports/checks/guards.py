"""What the checklist asks for before a room may be shown to the inspector."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from projects.stages.guards import ENTER, guard
from reports.checks.queries import standing_of

INSPECTION = "inspection"
MOST_NAMED = 8


@guard(
    "checklist_before_inspection",
    stage=INSPECTION,
    at=ENTER,
    title=gettext_lazy("Checklist items that the inspection waits for are answered"),
    safety=True,
    page="room_checks",
)
def checklist_before_inspection(rooms):
    return {room_id: _missing(told.holding) for room_id, told in standing_of(rooms).items() if told.holding}


def _missing(holding):
    failed = [item.number for item, outcome in holding if outcome]
    unanswered = [item.number for item, outcome in holding if not outcome]
    said = []
    if failed:
        words = ngettext("Checklist item %(items)s failed.", "Checklist items %(items)s failed.", len(failed))
        said.append(words % {"items": _numbers(failed)})
    if unanswered:
        words = ngettext(
            "Checklist item %(items)s is not answered.", "Checklist items %(items)s are not answered.", len(unanswered)
        )
        said.append(words % {"items": _numbers(unanswered)})
    return " ".join([*said, _("Look at each, put right what failed, and answer.")])


def _numbers(numbers):
    named = ", ".join(map(str, numbers[:MOST_NAMED]))
    more = len(numbers) - MOST_NAMED
    return _("%(named)s and %(more)s more") % {"named": named, "more": more} if more > 0 else named
