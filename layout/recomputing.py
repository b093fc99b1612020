"""Issued layouts worked out again from what was frozen, to see that the same comes out. Changes nothing."""

import json

from layout import frozen
from layout.engine.room import lay_out
from layout.models import LayoutRevision
from projects.keeping.hooks import Recomputed, evenly, recomputes


def _issued():
    return LayoutRevision.objects.every_shop().order_by("pk")


@recomputes("issued layouts", lambda: _issued().count())
def layouts_again(most=None):
    """most: so many, spread evenly over all. What an older engine laid out is compared by its digest alone."""
    for revision in evenly(_issued(), most):
        engine = json.loads(revision.inputs)["engine"]
        again = revision.result
        if engine == frozen.ENGINE:
            again = frozen.freeze_result(lay_out(frozen.thaw_inputs(revision.inputs)))
        digest = frozen.digest(revision.inputs, again)
        same = again == revision.result and digest == revision.digest
        yield Recomputed(f"revision {revision.number} of room {revision.room_id}", revision.pk, same, digest)
