"""Reads of the crew plan, each bounded and each through its shop."""

from django.db.models import Q

from projects.crews.models import CrewDay
from projects.jobs.models import LAST_STAGE, Job, Room

MOST_ROOMS = 200  # of one person on one day
MOST_JOBS = 50
MOST_DAYS = 5_000  # of the whole shop in the days that are asked for


def rooms_today(member, on):
    """The rooms a person is to work in on a day, in the order of walking: by job, level, name. At most 200.

    Who is planned for a job without a room has all of its rooms that are under way.
    """
    days = list(CrewDay.objects.of(member.shop_id).filter(member=member, on=on).values_list("job_id", "room_id"))
    if not days:
        return []
    rooms = {room for _job, room in days if room}
    whole_jobs = {job for job, room in days if not room}
    wanted = Q(pk__in=rooms) | Q(job__in=whole_jobs, stage__lt=LAST_STAGE)
    return _in_walking_order(Room.objects.of(member.shop_id).filter(wanted, cancelled=False))


def _in_walking_order(rooms):
    return list(rooms.select_related("job", "shop").order_by("job__number", "level", "name", "pk")[:MOST_ROOMS])


def jobs_of(member):
    """The jobs under way that a person is or was planned for, the newest job first. At most 50."""
    planned = CrewDay.objects.of(member.shop_id).filter(member=member).values("job")
    jobs = Job.objects.of(member.shop_id).filter(pk__in=planned, closed_on=None)
    return list(jobs.select_related("shop").order_by("-pk")[:MOST_JOBS])


def crew_on(shop, first, last):
    """Who works where from one day to another, both included: CrewDays with member, job and room, by day and name."""
    days = CrewDay.objects.of(shop).filter(on__gte=first, on__lte=last)
    return list(
        days.select_related("member__user", "job", "room").order_by("on", "member__user__name", "pk")[:MOST_DAYS]
    )
