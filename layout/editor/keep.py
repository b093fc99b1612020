"""Keeping what stands in the editor: the ceiling and what is held, together or not at all."""

from django.db import transaction
from django.utils import timezone

from layout.services import change_draft
from projects.ceilings.services import change_ceiling, snapshot
from projects.ceilings.values import entered


@transaction.atomic
def keep_plan(draft, ceiling, *, draft_version, ceiling_version, entry, pins, moved, by):
    """Gives the two versions as they are now. What did not change is not written.

    Raises StaleVersion when someone else saved either since, and TooMany.
    """
    if snapshot(entry) != snapshot(entered(ceiling)):
        if not ceiling.looked and entry.columns.get("framing"):
            entry = entry.with_columns(looked_by=by.user.name[:80], looked_on=timezone.localdate())
        ceiling = change_ceiling(ceiling, ceiling_version, entry)
    held, moved_marks = draft.held()
    if set(pins) != set(held) or set(moved) != set(moved_marks):
        typed = {axis: draft.typed(axis) for axis in ("along", "across")}
        draft = change_draft(draft, draft_version, {}, typed, pins=pins, moved=moved)
    return draft.version, ceiling.version
