"""Putting lights on switches, and putting back what was there: each one save of the draft."""

import json

from django.utils.translation import gettext as _

from layout.engine.switching import Switched
from layout.kept import AXES
from layout.services import change_draft


class NothingToPutBack(Exception):
    """No switch was set here before."""

    def __str__(self):
        return str(_("Nothing stood here before: there are no letters to put back."))


def set_switches(draft, seen_version, switched):
    """switched: lights on another switch than their ceiling's own. What stood before is kept. Raises StaleVersion.

    Nothing is written when nothing changed.
    """
    switched = tuple(sorted(switched, key=lambda one: (one.row, one.number)))
    if switched == draft.switched() and draft.pk is not None and draft.version == seen_version:
        return draft
    return change_draft(draft, seen_version, {}, {axis: draft.typed(axis) for axis in AXES}, switched=switched)


def put_switches_back(draft, seen_version):
    """The letters as they were before the last save; pressed twice, the last save's. Raises StaleVersion,
    NothingToPutBack.
    """
    if draft.pk is None or not draft.switched_before:
        raise NothingToPutBack
    return set_switches(draft, seen_version, [Switched(*row) for row in json.loads(draft.switched_before)])
