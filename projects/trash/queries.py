"""Reads of a shop's trash, bounded and through the shop. Who may not keep jobs sees its rooms only."""

import datetime as dt
from dataclasses import dataclass

from django.core.paginator import Paginator
from django.db.models import Count, F, Q
from django.http import Http404
from django.utils import timezone

from projects.jobs.models import Job, Room
from projects.trash.purging import KEPT

PAGE = 50


@dataclass(frozen=True, slots=True)
class Days:
    """How long it stays: whole days left, none less than 0."""

    left: int
    until: dt.date


def days_of(record, now=None) -> Days:
    goes = record.trashed_at + KEPT
    return Days(max((goes - (now or timezone.now())).days, 0), timezone.localdate(goes))


def any_job(shop, job_id):
    """In the trash or not."""
    return _found(Job.everything.of(shop).filter(pk=job_id).select_related("shop"))


def any_room(shop, room_id):
    return _found(Room.everything.of(shop).filter(pk=room_id).select_related("job", "shop"))


def _found(rows):
    record = rows.first()
    if record is None:
        raise Http404
    return record


def jobs_in_the_trash(shop):
    """The newest first; with_it: how many rooms went along and come back with it."""
    jobs = Job.everything.of(shop).trashed().select_related("trashed_by__user").order_by("-trashed_at", "-pk")
    return jobs.annotate(with_it=Count("rooms", filter=Q(rooms__trashed_at=F("trashed_at"))))


def rooms_in_the_trash(shop):
    """Rooms that went by themselves. Those that went with their job stand in its line."""
    rooms = Room.everything.of(shop).trashed().exclude(job__trashed_at__isnull=False, trashed_at=F("job__trashed_at"))
    return rooms.select_related("job", "trashed_by__user").order_by("-trashed_at", "-pk")


def page_of_jobs(shop, number):
    return Paginator(jobs_in_the_trash(shop), PAGE).get_page(number)


def page_of_rooms(shop, number):
    return Paginator(rooms_in_the_trash(shop), PAGE).get_page(number)
