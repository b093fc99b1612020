"""Reads for documents: rooms with their newest revision, through the shop, in a bounded number of queries."""

from dataclasses import dataclass

from django.db.models import Max, Prefetch
from django.http import Http404

from layout.models import LayoutRevision, WayTaken
from projects.jobs.circuits import ALL_ON_ITS_CIRCUITS
from projects.jobs.models import MeasurementSet, Room
from reports.models import CardCopy

MOST_ROOMS = 60  # in one packet: each has a card and a checklist of its own


@dataclass(frozen=True, slots=True)
class Laid:
    """A room and the revision its documents are made from."""

    room: Room
    revision: LayoutRevision


def revision_with_marks(room, number):
    found = (
        room.revisions.filter(number=number)
        .select_related("issued_by__user", "approved_by__user")
        .prefetch_related("marks__fixture_type")
        .first()
    )
    if found is None:
        raise Http404
    return found


def laid_rooms(job):
    """All the job's rooms that have a revision, each with its newest: a few queries, however many rooms."""
    newest = dict(
        job.rooms.filter(cancelled=False)
        .annotate(newest=Max("revisions__number"))
        .exclude(newest=None)
        .values_list("pk", "newest")
    )
    rooms = (
        Room.objects.of(job.shop_id)
        .filter(pk__in=newest)
        .select_related("job__shop", "shop", "draft", "speaker_wiring", "checks_known")
        .prefetch_related(
            "layers",
            "wire_points",
            "switch_zones__circuit",
            ALL_ON_ITS_CIRCUITS,
            "hand_runs",
            Prefetch("ways_taken", WayTaken.objects.select_related("by__user")),
            Prefetch("measurement_sets", MeasurementSet.objects.prefetch_related("readings")),
            Prefetch(
                "revisions",
                LayoutRevision.objects.of(job.shop_id)
                .select_related("issued_by__user", "approved_by__user")
                .prefetch_related("marks__fixture_type"),
            ),
        )
        .order_by("pk")
    )
    return [Laid(room, next(r for r in room.revisions.all() if r.number == newest[room.pk])) for room in rooms]


def rooms_without_layout(job):
    return job.rooms.filter(cancelled=False, revisions=None).count()


def copies_of(revision):
    return list(CardCopy.objects.of(revision.shop_id).filter(revision=revision).select_related("by__user")[:50])


def revision_behind(token):
    """The revision behind a card's QR, whatever the shop: the token is the key, and nothing but its age is told."""
    return LayoutRevision.objects.every_shop().filter(token=token).select_related("room").first()


def newest_number(revision):
    return LayoutRevision.objects.of(revision.shop_id).filter(room_id=revision.room_id).aggregate(n=Max("number"))["n"]
