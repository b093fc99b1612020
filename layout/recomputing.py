"""Issued layouts worked out again from what was frozen, to see that the same comes out. Changes nothing."""

import json
import logging

from layout import frozen
from layout.engine.room import lay_out
from layout.models import LayoutRevision
from projects.keeping.hooks import Recomputed, evenly, recomputes

log = logging.getLogger(__name__)


def _issued():
    return LayoutRevision.objects.every_shop().order_by("pk")


@recomputes("issued layouts", lambda: _issued().count())
def layouts_again(most=None):
    """most: so many, spread evenly over all. What an older engine laid out is compared by its digest alone."""
    for revision in evenly(_issued(), most):
        again = _again(revision)
        digest = frozen.digest(revision.inputs, again)
        same = again == revision.result and digest == revision.digest
        yield Recomputed(f"revision {revision.number} of room {revision.room_id}", revision.pk, same, digest)


def _again(revision) -> str:
    """The frozen result as it comes out now; empty where the inputs can't be read any more."""
    try:
        if json.loads(revision.inputs)["engine"] != frozen.ENGINE:
            return revision.result
        return frozen.freeze_result(lay_out(frozen.thaw_inputs(revision.inputs)))
    except Exception:  # damaged inputs fail in as many ways as there are values; each of them is told as another result
        log.warning("Revision %s can't be laid out again.", revision.pk, exc_info=True)
        return ""
