"""What was kept word for word, held against the digests that vouch for it. Changes nothing."""

from projects.keeping.hooks import Recomputed, evenly, recomputes
from reports.approvals.models import ApprovalLink
from reports.bids.models import BidRevision
from reports.changes.models import ChangeOrder
from reports.estimating.kept_text import digest_of
from reports.takeoffs.models import RulesVersion, Takeoff

# (rows, the columns of text that one digest is of)
KEPT = (
    (BidRevision, ("contents",)),
    (ChangeOrder, ("contents",)),
    (ApprovalLink, ("contents",)),
    (Takeoff, ("body", "prices", "rules")),
    (RulesVersion, ("body",)),
)


def _rows(model):
    return model.objects.every_shop().exclude(digest="").order_by("pk")


@recomputes("texts kept word for word", lambda: sum(_rows(model).count() for model, _ in KEPT))
def texts_again(most=None):
    """most: so many of each kind, spread evenly over all."""
    for model, columns in KEPT:
        for row in evenly(_rows(model), most):
            digest = digest_of(*(getattr(row, name) for name in columns))
            yield Recomputed(f"{model._meta.verbose_name} {row.pk}", row.pk, digest == row.digest, digest)
