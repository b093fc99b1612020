"""Changes that documents bring about: who holds which card."""

from django.db import transaction
from django.utils import timezone

from reports.models import CardCopy


@transaction.atomic
def log_copy(revision, *, how, held_by, datum, by=None, language=""):
    """Write down that a card was printed or sent, and who has it."""
    copy = CardCopy(
        shop_id=revision.shop_id, revision=revision, how=how, held_by=held_by, datum=datum, by=by, at=timezone.now(),
        language=language,
    )
    copy.clean_fields()
    copy.save()
    return copy
