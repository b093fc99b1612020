"""What is done with a client's link: made, closed, answered, seen to. Each in one transaction."""

from datetime import timedelta

from django.db import models, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from layout.services import NotAsIssued, approve_revision
from projects.jobs.models import Room
from reports.approvals.contents import NoWage, contents_of
from reports.approvals.models import Answer, ApprovalLink, Says
from reports.estimating.kept_text import Altered, canonical, digest_of
from reports.estimating.money import MoneyError

MOST_ANSWERS = 50  # through one link


class NotDone(Exception):
    """What was asked can't be done; the message says why and what to do."""


def _hold(room_id, shop_id):
    """The room's row is the lock: an answer and a new revision come one after the other."""
    return Room.everything.of(shop_id).select_for_update().get(pk=room_id)


@transaction.atomic
def make_link(room, revision, *, by, days, message="", costs=False):
    """A link to what this revision shows today; earlier ones that nobody accepted are closed. Raises NotDone."""
    _hold(room.pk, room.shop_id)
    if revision.number != _newest(room.pk, room.shop_id):
        raise NotDone(_("A later revision was issued. Ask about that one."))
    try:
        contents = canonical(contents_of(room, revision, message=message, costs=costs))
    except NotAsIssued as refused:
        raise NotDone(str(refused)) from refused
    except NoWage as refused:
        raise NotDone(
            _("Nobody entered a wage for this job, so what a moved light comes to is not known. Untick it.")
        ) from refused
    except (MoneyError, Altered) as refused:
        raise NotDone(str(refused)) from refused
    _close(room.approval_links.exclude(answers__says=Says.YES))
    return ApprovalLink.objects.create(
        shop_id=room.shop_id, room=room, revision=revision, contents=contents, digest=digest_of(contents),
        expires_on=timezone.localdate() + timedelta(days=days), made_by=by,
    )  # fmt: skip


def _newest(room_id, shop_id):
    revisions = Room.everything.of(shop_id).filter(pk=room_id)
    return revisions.aggregate(newest=models.Max("revisions__number"))["newest"]


def close_link(link):
    """It shows nothing from now on. Closed twice, once is enough."""
    _close(ApprovalLink.objects.of(link.shop_id).filter(pk=link.pk))


def _close(links):
    links.filter(revoked_at=None).update(revoked_at=timezone.now(), version=models.F("version") + 1)


@transaction.atomic
def answer(link, digest, says, *, on, today, name="", words="", point=None):
    """What the client says of what is shown. Accepted twice, once is enough; the first name stands. Raises NotDone.

    point: (along, across) of a finger on the picture.
    """
    room = _hold(link.room_id, link.shop_id)
    held = ApprovalLink.objects.of(link.shop_id).select_related("revision").get(pk=link.pk)
    accepted = held.answers.filter(says=Says.YES).first()
    if held.digest != digest:
        raise NotDone(_("This is not the page that was looked at. Open it again."))
    if held.revoked_at or not room.stands:
        raise NotDone(_("This link was closed. Ask for a new one."))
    if accepted:
        if says == Says.YES:
            return accepted
        raise NotDone(_("This was accepted already. Call the shop about what has to change."))
    if today > held.expires_on:
        raise NotDone(_("This link was open until %(day)s. Ask for a new one.") % {"day": held.expires_on})
    if held.revision.number != _newest(room.pk, room.shop_id):
        raise NotDone(_("A later revision took its place meanwhile. Ask for the link to that one."))
    if held.answers.count() >= MOST_ANSWERS:
        raise NotDone(_("This page has taken enough answers. Call the shop."))
    along, across = point or (None, None)
    made = Answer.objects.create(
        shop_id=held.shop_id, room_id=held.room_id, link=held, says=says, name=name, on=on, words=words,
        along=along, across=across, at=timezone.now(),
    )  # fmt: skip
    if says == Says.YES:
        approve_revision(held.revision, name=name)
    return made


def see_to(found, *, by):
    """The office has seen to it. The first who said so stands."""
    Answer.objects.of(found.shop_id).filter(pk=found.pk, seen_to_at=None).update(
        seen_to_by=by, seen_to_at=timezone.now(), version=models.F("version") + 1
    )
