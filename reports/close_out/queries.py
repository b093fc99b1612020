"""Reads of a job's packets and warranties, each through its shop."""

from django.http import Http404

from projects.catalogue.labels import facts_of
from projects.catalogue.models import FixtureType
from reports.close_out.models import Packet, Warranty


def packets_of(job):
    found = Packet.objects.of(job.shop_id).filter(job=job).select_related("made_by__user")
    return list(found.order_by("what", "paper"))


def packet_of(shop, job_id, packet_id):
    found = Packet.objects.of(shop).filter(pk=packet_id, job=job_id, job__trashed_at=None).select_related("job").first()
    if found is None:
        raise Http404
    return found


def warranties_of(job):
    return list(Warranty.objects.of(job.shop_id).filter(job=job))


def warranty_of(shop, warranty_id):
    found = Warranty.objects.of(shop).filter(pk=warranty_id, job__trashed_at=None).first()
    if found is None:
        raise Http404
    return found


def models_of(laid):
    """Label facts of every fixture type these rooms' revisions cut for, by name, with the rooms it is in."""
    rooms: dict[int, list[str]] = {}
    for one in laid:
        for type_id in dict.fromkeys(mark.fixture_type_id for mark in one.revision.marks.all()):
            rooms.setdefault(type_id, []).append(one.room.name)
    if not rooms:
        return []
    types = FixtureType.objects.of(laid[0].room.shop_id).filter(pk__in=rooms).select_related("sheet")
    return [(facts_of(record), rooms[record.pk]) for record in types.order_by("kind", "name", "pk")]
