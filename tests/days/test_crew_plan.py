"""Who works where: planned by day, reassigned in two presses, read by everyone."""

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.crews import services
from projects.crews.models import CrewDay
from projects.platform.permissions import Role
from projects.platform.tenancy import StaleVersion
from tests.factories import CrewDayFactory, JobFactory, JoinedFactory, MemberFactory, RoomFactory

pytestmark = pytest.mark.django_db
TODAY = timezone.localdate()
MONDAY = dt.date(2026, 11, 30)


@pytest.fixture
def owner():
    return MemberFactory(user__name="Juniper")


@pytest.fixture
def job(owner):
    return JobFactory(shop=owner.shop, number="26-014")


@pytest.fixture
def den(job):
    return RoomFactory(job=job, name="Den")


@pytest.fixture
def crew(owner):
    """Two of them."""
    return [MemberFactory(shop=owner.shop, role=Role.CREW.value, user__name=name) for name in ("Abel", "Wilma")]


def plan(shop):
    rows = CrewDay.objects.of(shop).order_by("on", "pk")
    return [(str(day.member.user), str(day.room or "job"), day.on) for day in rows]


def test_a_person_is_planned_for_rooms_on_each_day(job, den, crew):
    hall = RoomFactory(job=job, name="Hall")
    tuesday = MONDAY + dt.timedelta(1)
    assert services.plan(job, crew[0], MONDAY, tuesday, rooms=[den, hall]) == 4
    assert services.plan(job, crew[0], MONDAY, tuesday, rooms=[den, hall]) == 0, "planned twice is planned once"
    assert services.plan(job, crew[0], MONDAY, MONDAY) == 1
    assert services.plan(job, crew[0], MONDAY, MONDAY) == 0
    assert len(plan(job.shop)) == 5


def test_who_does_not_work_on_site_and_who_joined_another_job_is_not_planned(job):
    for member in (
        MemberFactory(shop=job.shop, role=Role.VIEWER.value),
        MemberFactory(shop=job.shop, active=False),
        MemberFactory(),
        JoinedFactory(shop=job.shop).member,
    ):
        with pytest.raises(services.NotPlanned):
            services.plan(job, member, MONDAY, MONDAY)


def test_too_many_days_at_once_are_refused(job, crew):
    with pytest.raises(services.NotPlanned):
        services.plan(job, crew[0], MONDAY, MONDAY + dt.timedelta(31))


def test_somebody_else_goes_instead_and_one_planned_already_keeps_it(job, den, crew):
    abel, wilma = crew
    day = CrewDayFactory(room=den, member=abel, on=MONDAY)
    moved = services.give_to(day, day.version, wilma)
    assert plan(job.shop) == [("Wilma", "Den", MONDAY)]
    with pytest.raises(StaleVersion):
        services.give_to(day, day.version, abel)
    both = CrewDayFactory(room=den, member=abel, on=MONDAY)
    services.give_to(both, both.version, wilma)
    assert plan(job.shop) == [("Wilma", "Den", MONDAY)]
    assert services.take_off(moved) and not services.take_off(moved)


def test_two_presses_reassign_a_room(client, owner, job, den, crew):
    """From the plan: the place, then the name."""
    abel, wilma = crew
    day = CrewDayFactory(room=den, member=abel, on=TODAY)
    client.force_login(owner.user)
    place = reverse("crew_day", args=[day.pk])
    assert place in client.get(reverse("crew_plan")).content.decode()
    page = client.get(place).content.decode()
    assert f'<button name="member" value="{wilma.pk}">' in page
    answer = client.post(place, {"member": wilma.pk, "version": day.version})
    assert answer.status_code == 302
    assert plan(job.shop) == [("Wilma", "Den", TODAY)]
    late = client.post(place, {"member": abel.pk, "version": day.version}, follow=True)
    assert "Changed meanwhile" in late.content.decode()
    assert plan(job.shop) == [("Wilma", "Den", TODAY)]


def test_a_name_pressed_on_a_rooms_page_plans_it_for_that_day(client, owner, job, den, crew):
    client.force_login(owner.user)
    page = reverse("room_crew", args=[den.pk])
    client.post(f"{page}?on={MONDAY}", {"member": crew[0].pk})
    assert plan(job.shop) == [("Abel", "Den", MONDAY)]
    shown = client.get(f"{page}?on={MONDAY}").content.decode()
    assert f'value="{crew[0].pk}"' not in shown and f'value="{crew[1].pk}"' in shown
    client.post(page, {"member": MemberFactory().pk})
    assert len(plan(job.shop)) == 1


def test_the_jobs_page_plans_days_and_rooms_and_says_what_is_wrong(client, owner, job, den, crew):
    client.force_login(owner.user)
    page = reverse("job_crew", args=[job.pk])
    other = RoomFactory(shop=job.shop)
    sent = {"member": crew[0].pk, "first": "2026-11-30", "last": "2026-12-01", "rooms": [den.pk]}
    assert client.post(page, sent).status_code == 302
    assert len(plan(job.shop)) == 2
    for wrong in ({"rooms": [other.pk]}, {"last": "2026-11-01"}, {"first": "1999-01-01"}, {"member": 0}):
        assert client.post(page, sent | wrong).status_code == 422, wrong
    assert len(plan(job.shop)) == 2


def test_the_week_begins_on_monday_and_a_day_is_a_day(client, owner, job, den, crew):
    for name, on in (("Sunday before", MONDAY - dt.timedelta(1)), ("Sunday", MONDAY + dt.timedelta(6))):
        CrewDayFactory(room=RoomFactory(job=job, name=name), member=crew[0], on=on)
    client.force_login(owner.user)
    week = client.get(reverse("crew_plan"), {"from": "2026-12-03"})
    assert week.context["plan"].days[0] == MONDAY and len(week.context["plan"].days) == 7
    text = week.content.decode()
    assert "· Sunday<" in text and "Sunday before" not in text
    day = client.get(reverse("crew_plan"), {"from": "2026-12-03", "days": "1"})
    assert day.context["plan"].days == [dt.date(2026, 12, 3)]
    assert client.get(reverse("crew_plan"), {"from": "9999-99-99"}).status_code == 200
    assert client.get(reverse("crew_plan"), {"from": "2100-12-31"}).status_code == 200


def test_the_week_is_read_in_as_many_queries_for_sixty_rooms_as_for_one(client, owner, job, den, crew):
    client.force_login(owner.user)

    def count():
        with CaptureQueriesContext(connection) as asked:
            client.get(reverse("crew_plan"))
        return len(asked)

    CrewDayFactory(room=den, member=crew[0], on=TODAY)
    one = count()
    for room in RoomFactory.create_batch(60, job=job):
        CrewDayFactory(room=room, member=crew[1], on=TODAY)
    assert count() == one


def test_a_crew_reads_the_plan_and_changes_nothing(client, job, den, crew):
    day = CrewDayFactory(room=den, member=crew[0], on=TODAY)
    client.force_login(crew[1].user)
    page = client.get(reverse("crew_plan")).content.decode()
    assert "Den" in page and reverse("crew_day", args=[day.pk]) not in page
    for name, ident in (("crew_day", day.pk), ("take_off", day.pk), ("job_crew", job.pk), ("room_crew", den.pk)):
        assert client.post(reverse(name, args=[ident]), {"member": crew[1].pk}).status_code == 403, name


def test_another_shops_day_is_not_here(client, owner, den):
    client.force_login(owner.user)
    theirs = CrewDayFactory()
    for name in ("crew_day", "take_off"):
        assert client.post(reverse(name, args=[theirs.pk])).status_code == 404


# What is due when


def test_a_month_tells_each_jobs_days_and_the_rooms_still_before_them(client, owner):
    job = JobFactory(shop=owner.shop, name="Saltgrass", rough_in_on=dt.date(2026, 12, 4), trim_on=dt.date(2027, 1, 5))
    RoomFactory(job=job, name="Den", stage=4)
    RoomFactory(job=job, name="Past it", stage=7)
    client.force_login(owner.user)
    page = client.get(reverse("calendar"), {"from": "2026-12-20"}).content.decode()
    assert "December 2026" in page and "Rough-in" in page and "Den" in page
    assert "Past it" not in page and "Trim" not in page
    assert "Trim" in client.get(reverse("calendar"), {"from": "2027-01-01"}).content.decode()


def test_a_month_without_a_day_says_where_days_come_from(client, owner):
    client.force_login(owner.user)
    assert "where a job is edited" in client.get(reverse("calendar"), {"from": "2031-01-01"}).content.decode()


def test_a_phone_that_joined_one_job_is_told_nobody_of_another(client, job, crew):
    """Nor who else works for the shop."""
    phone = JoinedFactory(job=job, member__user__name="Tomás")
    services.plan(job, crew[0], TODAY, TODAY)
    services.plan(JobFactory(shop=job.shop), crew[1], TODAY, TODAY)
    client.force_login(phone.member.user)
    page = client.get(reverse("crew_plan")).content.decode()
    assert "Abel" in page and "Wilma" not in page and "Juniper" not in page
