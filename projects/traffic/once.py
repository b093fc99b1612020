"""One effect for each key a member sends, and the same answer each time. Knows not what is done.

A key is claimed before anything is done, so that whoever sends it meanwhile is told to wait. What was answered is then
written in the transaction of the effect: a key without an answer has had no effect, and can be claimed anew once its
claim is old. Whoever lost the claim meanwhile can't write, and so has no effect either.

Source: draft-ietf-httpapi-idempotency-key-header, section 2.
"""

import hashlib
import json
import secrets
from dataclasses import dataclass, field
from datetime import timedelta

from django.db import IntegrityError, transaction
from django.utils import timezone

from projects.traffic.models import KeptAnswer

KEPT = timedelta(hours=72)  # a phone that was away for a weekend
CLAIM_IS_OLD = timedelta(seconds=120)  # longer than any request may take
WAIT = 5  # seconds to wait before asking again for what is being worked on
MOST_FORGOTTEN = 500  # at once


class UsedOtherwise(Exception):
    """This key came with another request before."""


class InFlight(Exception):
    """The request with this key is being worked on."""


class ClaimLost(Exception):
    """Somebody else took this key over; what was done is to be rolled back."""


@dataclass(frozen=True)
class Answer:
    status: int
    body: bytes
    content_type: str
    headers: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Claim:
    row: int
    token: str
    shop: int


def claim(member, key: str, request: str) -> Claim | Answer:
    """The right to do it, or what was answered when it was done. Raises UsedOtherwise, InFlight.

    request: SHA-256 of what is asked, in hexadecimal.
    """
    now, token = timezone.now(), secrets.token_hex(16)
    digest = hashlib.sha256(key.encode()).hexdigest()
    _forget_old(member.shop_id, now)
    mine = KeptAnswer.objects.of(member.shop_id).filter(member=member, key=digest)
    row = mine.first()
    if row is None:
        try:
            with transaction.atomic():
                made = KeptAnswer.objects.create(
                    shop_id=member.shop_id, member=member, key=digest, request=request, claim=token, begun_at=now
                )
            return Claim(made.pk, token, member.shop_id)
        except IntegrityError:
            row = mine.get()
    if row.request != request:
        raise UsedOtherwise
    if row.status is not None:
        return Answer(row.status, bytes(row.body), row.content_type, json.loads(row.headers))
    if row.begun_at > now - CLAIM_IS_OLD:
        raise InFlight
    if not mine.filter(claim=row.claim, status=None).update(claim=token, begun_at=now):
        raise InFlight
    return Claim(row.pk, token, member.shop_id)


def keep(held: Claim, answer: Answer):
    """In the transaction of the effect. Raises ClaimLost: then nothing may stay."""
    rows = KeptAnswer.objects.of(held.shop).filter(pk=held.row, claim=held.token, status=None)
    written = rows.update(
        status=answer.status,
        body=answer.body,
        content_type=answer.content_type,
        headers=json.dumps(answer.headers),
    )
    if not written:
        raise ClaimLost


def let_go(held: Claim):
    """It had no effect: the same key may come again, with another request too."""
    KeptAnswer.objects.of(held.shop).filter(pk=held.row, claim=held.token, status=None).delete()


def _forget_old(shop_id, now):
    old = KeptAnswer.objects.of(shop_id).filter(begun_at__lt=now - KEPT).values_list("pk", flat=True)
    if found := list(old[:MOST_FORGOTTEN]):
        KeptAnswer.objects.of(shop_id).filter(pk__in=found).delete()
