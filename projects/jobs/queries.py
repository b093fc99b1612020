"""Reads of jobs and rooms, each bounded and each through its shop. An absent id and another shop's answer alike."""

from django.core.paginator import Paginator
from django.db.models import Count, OuterRef, Prefetch, Subquery
from django.db.models.functions import Coalesce
from django.http import Http404

from projects.jobs.circuits import ALL_ON_ITS_CIRCUITS
from projects.jobs.models import Job, MeasurementSet, Room

PAGE = 50


def job_of(shop, job_id):
    job = Job.objects.of(shop).filter(pk=job_id).one()
    if job is None:
        raise Http404
    return job


def room_of(shop, room_id):
    """The room with its job, build-up, counts and wire points, in a fixed number of queries."""
    room = (
        Room.objects.of(shop)
        .filter(pk=room_id)
        .select_related("job", "shop", "ceiling", "speaker_wiring")
        .defer("ceiling__before")
        .prefetch_related(
            "layers",
            "wire_points",
            "switch_zones__control_type",
            "switch_zones__circuit",
            ALL_ON_ITS_CIRCUITS,
            "counts__fixture_type",
            "ceiling__joists",
            "ceiling__members",
            "ceiling__things",
            "ceiling__corners",
            "ceiling__regions__corners",
            Prefetch("measurement_sets", MeasurementSet.objects.prefetch_related("readings")),
        )
        .one()
    )
    if room is None:
        raise Http404
    room.job.shop = room.shop
    return room


def room_at(shop, room_id):
    """The room with its job and shop, and no more. Raises Http404."""
    room = Room.objects.of(shop).filter(pk=room_id).select_related("job", "shop").one()
    if room is None:
        raise Http404
    room.job.shop = room.shop
    return room


def jobs_of(shop):
    """The shop's jobs, the newest first, each with how many rooms it has."""
    # Counted job by job: counted by groups, every column of job and shop is what SQLite groups by.
    rooms = Room.objects.filter(job=OuterRef("pk")).order_by().values("job").annotate(n=Count("pk")).values("n")
    standing = Coalesce(Subquery(rooms), 0)
    return Job.objects.of(shop).select_related("shop").annotate(room_count=standing).order_by("-pk")


def page_of_jobs(shop, number):
    """Of each job what its row says, and no more."""
    shown = jobs_of(shop).select_related(None).only("number", "name", "client", "site", "rough_in_on")
    return Paginator(shown, PAGE).get_page(number)


def page_of_rooms(job, number):
    return Paginator(job.rooms.order_by("pk"), PAGE).get_page(number)


def latest_job(shop):
    return Job.objects.of(shop).order_by("-updated_at", "-pk").first()
