"""Reads of the crew plan, each bounded and each through its shop."""

from django.db.models import Q
from django.http import Http404

from projects.crews.models import CrewDay
from projects.jobs.models import LAST_STAGE, Job, Room
from projects.joining.queries import let_in, the_one_job
from projects.platform.permissions import FIELD, Role

MOST_ROOMS = 200  # of one person on one day
MOST_JOBS = 50
MOST_DAYS = 5_000  # of the whole shop in the days that are asked for
MOST_PEOPLE = 200
FROM_THE_SITE = [role.value for role in (Role.CREW, Role.CREW_LEAD, Role.ESTIMATOR, Role.OWNER)]


def rooms_today(member, on):
    """The rooms a person is to work in on a day, in the order of walking: by job, level, name. At most 200.

    Who is planned for a job without a room has all of its rooms that are under way; so has who joined one job by a
    code, on a day when nothing is planned.
    """
    one_job = the_one_job(member)
    days = CrewDay.objects.of(member.shop_id).filter(member=member, on=on)
    days = list((days.filter(job=one_job) if one_job else days).values_list("job_id", "room_id"))
    rooms = {room for _job, room in days if room}
    whole_jobs = {job for job, room in days if not room}
    if not days and one_job:
        whole_jobs = {one_job}
    if not rooms and not whole_jobs:
        return []
    wanted = Q(pk__in=rooms) | Q(job__in=whole_jobs, stage__lt=LAST_STAGE)
    return _in_walking_order(Room.objects.of(member.shop_id).filter(wanted, cancelled=False))


def _in_walking_order(rooms):
    return list(rooms.select_related("job", "shop").order_by("job__number", "level", "name", "pk")[:MOST_ROOMS])


def jobs_of(member):
    """The jobs under way that a person is or was planned for, the newest job first. At most 50.

    Who joined one job by a code has that one.
    """
    planned = CrewDay.objects.of(member.shop_id).filter(member=member).values("job")
    wanted = Q(pk=the_one_job(member)) if the_one_job(member) else Q(pk__in=planned)
    jobs = Job.objects.of(member.shop_id).filter(wanted, closed_on=None)
    return list(jobs.select_related("shop").order_by("-pk")[:MOST_JOBS])


def crew_on(shop, first, last, job=None):
    """Who works where, or on one job, from one day to another, both included: CrewDays with member, job and room, by
    day and name.
    """
    days = CrewDay.objects.of(shop).filter(on__gte=first, on__lte=last)
    if job is not None:
        days = days.filter(job=job)
    return list(
        days.select_related("member__user", "job", "room").order_by("on", "member__user__name", "pk")[:MOST_DAYS]
    )


def names_on(shop, first, last):
    """(job, member, name) of who works where from one day to another, both included, by day and name."""
    days = CrewDay.objects.of(shop).filter(on__gte=first, on__lte=last).order_by("on", "member__user__name", "pk")
    return list(days.values_list("job_id", "member_id", "member__user__name")[:MOST_DAYS])


def jobs_to_plan(shop):
    """Jobs under way, those touched last first: where somebody may be sent. At most 50."""
    return list(Job.objects.of(shop).filter(closed_on=None).order_by("-updated_at", "-pk")[:MOST_JOBS])


def day_of(shop, day_id):
    found = CrewDay.objects.of(shop).filter(pk=day_id).select_related("member__user", "job", "room").first()
    if found is None:
        raise Http404
    return found


def who_may_be_planned(shop, job=None):
    """Members who work on site, the crew first, then by name; for a job without those who joined another one by a code.

    At most 200.
    """
    people = let_in(shop.members.filter(role__in=FIELD))
    if job is not None:
        people = people.filter(Q(joined=None) | Q(joined__job=job))
    found = people.select_related("user", "joined").order_by("user__name", "pk")[:MOST_PEOPLE]
    return sorted(found, key=lambda member: FROM_THE_SITE.index(member.role))


def days_of_room(room, first, last):
    """Who works in this room, or anywhere on its job, from one day to another."""
    days = CrewDay.objects.of(room.shop_id).filter(Q(room=room) | Q(room=None, job=room.job_id))
    days = days.filter(on__gte=first, on__lte=last).select_related("member__user", "job", "room")
    return list(days.order_by("on", "member__user__name", "pk")[:MOST_ROOMS])
