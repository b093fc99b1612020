"""Days over the API: who works where, what is due when, a person's own calendar and letter, handing a job over."""

import datetime as dt
from dataclasses import asdict

from django import forms
from django.http import HttpResponse
from django.urls import path, reverse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.crews import queries, services
from projects.crews.models import CrewDay
from projects.jobs.models import LAST_STAGE
from projects.jobs.queries import job_of, room_of
from projects.platform.api.bodies import ID, Body, Kind, Unfit
from projects.platform.api.files import FileView
from projects.platform.api.lists import FIRST_YEAR, LAST_YEAR, Listing
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.views import ApiView, Record, RecordView
from reports.days import handover as handing
from reports.days.dates import due_between
from reports.days.feed import calendar_of
from reports.days.forms import PlanForm
from reports.days.models import CalendarFeed, MorningLetter
from reports.days.plan import WEEK, monday_of, plan_of
from reports.days.services import end_feed, make_feed, want_letter
from reports.papers_api import Document, described

MOST_DAYS = 62  # asked for at once
ROOMS_OFFERED = 200

FROM = OpenApiParameter("from", dt.date, description="The first day; today, or this week's Monday, unless given")


def _ids(value, form):
    if not isinstance(value, list) or any(not isinstance(each, int) or isinstance(each, bool) for each in value):
        raise Unfit("Give a list of ids, whole numbers.")
    return [str(each) for each in value]


def _ids_shape(box, options):
    child = serializers.IntegerField()
    return serializers.ListField(child=child, max_length=ROOMS_OFFERED, help_text=str(box.label), **options)


class GiveForm(forms.Form):
    member = forms.IntegerField(min_value=1, max_value=2**63 - 1, label="Whose day it is now, by id")
    version = forms.IntegerField(min_value=0)


class LetterForm(forms.Form):
    wanted = forms.BooleanField(required=False, label="A letter each morning")


PLAN = Body(
    "CrewPlanBody", PlanForm, kinds={"member": ID, "rooms": Kind(_ids, _ids_shape)},
    example=lambda: PlanForm.base_fields,
)  # fmt: skip
GIVE = Body("CrewDayBody", GiveForm, kinds={"member": ID})
LETTER = Body("MorningLetterBody", LetterForm)


class CrewDayOut(Record):
    name = serializers.CharField(source="member.user.name", read_only=True)
    job_name = serializers.CharField(source="job.name", read_only=True)
    room_name = serializers.CharField(source="room.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = CrewDay
        fields = ("id", "on", "member", "name", "job", "job_name", "room", "room_name", "version")
        read_only_fields = fields


class PersonDaysOut(serializers.Serializer):
    member = serializers.IntegerField(source="member_id")
    name = serializers.CharField()
    days = serializers.SerializerMethodField()

    def get_days(self, person) -> list[int]:
        """Ids of the days somebody is planned for."""
        return [row.pk for _on, rows in person.days for row in rows]


class CrewPlanOut(serializers.Serializer):
    """people: everyone who works on site, planned or not."""

    first = serializers.DateField()
    last = serializers.DateField()
    people = PersonDaysOut(many=True)
    days = CrewDayOut(many=True)


class PlanableOut(serializers.Serializer):
    member = serializers.IntegerField(source="pk")
    name = serializers.CharField(source="user.name")
    role = serializers.CharField()


class DueOut(serializers.Serializer):
    on = serializers.DateField()
    key = serializers.CharField()
    what = serializers.CharField()
    job = serializers.IntegerField(source="job.pk")
    job_number = serializers.CharField(source="job.number")
    rooms = serializers.ListField(child=serializers.CharField(), help_text="Where it is still to be done")


class CardHeldOut(serializers.Serializer):
    revision = serializers.IntegerField()
    by = serializers.CharField()
    on = serializers.CharField()
    stale = serializers.BooleanField()


class RoomSheetOut(serializers.Serializer):
    name = serializers.CharField()
    level = serializers.CharField()
    stage = serializers.CharField()
    zero = serializers.CharField()
    revision = serializers.IntegerField(allow_null=True)
    marks = serializers.IntegerField()
    steps = serializers.ListField(child=serializers.ListField(child=serializers.CharField()))
    not_begun = serializers.CharField()
    astray = serializers.CharField()
    held = CardHeldOut(many=True)
    questions = serializers.ListField(child=serializers.CharField())
    crew = serializers.ListField(child=serializers.CharField())


class HandoverOut(serializers.Serializer):
    on = serializers.DateField()
    rooms = RoomSheetOut(many=True)
    anywhere = serializers.ListField(child=serializers.CharField(), help_text="Planned for the whole job")
    left_out = serializers.IntegerField()


class OwnDaysOut(serializers.Serializer):
    feed_since = serializers.DateTimeField(allow_null=True, help_text="null: no calendar address stands")
    feed_last_read = serializers.DateTimeField(allow_null=True)
    letter = serializers.BooleanField()


class FeedOut(serializers.Serializer):
    address = serializers.CharField(help_text="Told once; nobody can look it up again")


def _wrong(name, said):
    return Refused([{"parameter": name, "detail": said, "code": "invalid"}])


class DaysView(ApiView):
    def first_day(self, otherwise):
        """The day that is asked for with `from`. Raises Refused."""
        given = self.request.query_params.get("from")
        if given is None:
            return otherwise
        try:
            day = dt.date.fromisoformat(given) if len(given) == 10 else None
        except ValueError:
            day = None
        if day is None or not FIRST_YEAR <= day.year < LAST_YEAR:
            raise _wrong("from", f"A day from {FIRST_YEAR} to {LAST_YEAR}, like 2026-05-03.")
        return day

    def how_many(self, otherwise):
        given = self.request.query_params.get("days", str(otherwise))
        if not (given.isascii() and given.isdecimal() and len(given) < 4 and 1 <= int(given) <= MOST_DAYS):
            raise _wrong("days", f"From 1 to {MOST_DAYS}.")
        return int(given)

    def first_and_last(self, usual):
        """The days from the one that is asked for, else from today: as many as are asked for. Raises Refused."""
        first = self.first_day(timezone.localdate())
        return first, first + dt.timedelta(self.how_many(usual) - 1)


class CrewPlan(DaysView):
    pagination_class = None
    questions = ("from", "days")

    @extend_schema(
        operation_id="crew_plan",
        responses=CrewPlanOut,
        parameters=[FROM, OpenApiParameter("days", int, description=f"How many; {WEEK} unless given")],
    )
    def get(self, request):
        """Who works where: a week, or as many days as are asked for."""
        self.refuse_unknown_questions(request.query_params)
        first = self.first_day(monday_of(timezone.localdate()))
        plan = plan_of(request.shop, first, self.how_many(WEEK))
        days = [row for person in plan.people for _on, rows in person.days for row in rows]
        told = {"first": plan.first, "last": plan.last, "people": plan.people, "days": days}
        return Response(CrewPlanOut(told).data)


class CrewDayView(RecordView):
    pagination_class = None
    out = CrewDayOut

    @extend_schema(operation_id="crew_day", responses=CrewDayOut)
    def get(self, request, day_id):
        """One person on one day at one place."""
        return self.answer(queries.day_of(request.shop, day_id))

    @extend_schema(operation_id="give_crew_day", request=GIVE.schema(partial=True), responses=CrewDayOut)
    def patch(self, request, day_id):
        """Somebody else goes there instead."""
        day = queries.day_of(request.shop, day_id)

        def give(form, seen):
            member = _planable(request.shop, day.job, form.cleaned_data["member"])
            return services.give_to(day, seen, member, by=request.member)

        _planned(lambda: self.change(day, GIVE, self.show, give, start={"member": day.member_id}))
        return self.answer(queries.day_of(request.shop, day_id))

    @extend_schema(operation_id="take_off_crew_day", responses={204: None})
    def delete(self, request, day_id):
        """Nobody goes there then."""
        day = queries.day_of(request.shop, day_id)
        return self.remove(day, lambda seen: services.take_off(day))


def _planable(shop, job, member_id):
    for member in queries.who_may_be_planned(shop, job):
        if member.pk == member_id:
            return member
    raise Refused([{"pointer": "/member", "detail": "Nobody with this id works on site for this job.",
                    "code": "unknown"}])  # fmt: skip


def _planned(change):
    try:
        return change()
    except services.NotPlanned as refused:
        raise CannotBeDone(str(refused)) from refused


class WhoMayBePlanned(ApiView):
    listing = Listing()

    @extend_schema(operation_id="crew_people", responses=PlanableOut(many=True))
    def get(self, request, job_id):
        """Who may be sent to a job, the crew first."""
        return self.paged(queries.who_may_be_planned(request.shop, job_of(request.shop, job_id)), PlanableOut)


class JobCrew(DaysView):
    listing = Listing()
    questions = ("from", "days")

    @extend_schema(
        operation_id="job_crew",
        responses=CrewDayOut(many=True),
        parameters=[FROM, OpenApiParameter("days", int, description="How many; 14 unless given")],
    )
    def get(self, request, job_id):
        """Who works on a job, from a day on."""
        self.refuse_unknown_questions(request.query_params)
        first, last = self.first_and_last(14)
        return self.paged(queries.crew_on(request.shop, first, last, job_of(request.shop, job_id)), CrewDayOut)

    @extend_schema(
        operation_id="plan_crew",
        request=PLAN.schema(defaults=("last", "rooms")),
        responses={201: CrewDayOut(many=True)},
    )
    def post(self, request, job_id):
        """Plan a person for days and rooms of a job; without rooms, wherever it needs them. Twice is one plan."""
        self.refuse_unknown_questions(request.query_params)
        job = job_of(request.shop, job_id)
        people = queries.who_may_be_planned(request.shop, job)
        under_way = job.rooms.filter(cancelled=False, stage__lt=LAST_STAGE).order_by("level", "name", "pk")
        rooms = list(under_way[:ROOMS_OFFERED])
        said = PLAN.fill(request.data, people=people, rooms=rooms).cleaned_data
        member = next(one for one in people if one.pk == said["member"])
        chosen = set(said.get("rooms") or ())
        where = [room for room in rooms if room.pk in chosen]
        _planned(lambda: services.plan(job, member, said["first"], said["last"], rooms=where, by=request.member))
        days = [day for day in queries.crew_on(request.shop, said["first"], said["last"], job) if day.member == member]
        at = f"{reverse('api:job_crew', args=[job.pk])}?from={said['first']}"
        return Response(CrewDayOut(days, many=True).data, status=201, headers={"Location": at})


class RoomCrew(DaysView):
    listing = Listing()
    questions = ("from", "days")

    @extend_schema(
        operation_id="room_crew",
        responses=CrewDayOut(many=True),
        parameters=[FROM, OpenApiParameter("days", int, description="How many; 14 unless given")],
    )
    def get(self, request, room_id):
        """Who works in a room, or anywhere on its job, from a day on."""
        self.refuse_unknown_questions(request.query_params)
        first, last = self.first_and_last(14)
        return self.paged(queries.days_of_room(room_of(request.shop, room_id), first, last), CrewDayOut)


class Calendar(DaysView):
    listing = Listing()
    questions = ("from", "days")

    @extend_schema(
        operation_id="calendar",
        responses=DueOut(many=True),
        parameters=[FROM, OpenApiParameter("days", int, description="How many; 31 unless given")],
    )
    def get(self, request):
        """What is due of every job: rough-in, inspections, drywall, trim."""
        self.refuse_unknown_questions(request.query_params)
        return self.paged(due_between(request.shop, *self.first_and_last(31)), DueOut)


class CalendarFile(FileView):
    @extend_schema(operation_id="calendar_file", responses={(200, "text/calendar"): OpenApiTypes.BINARY})
    def get(self, request):
        """Your calendar as a file (RFC 5545): what is due, and where you work."""
        content = calendar_of(request.member, request.build_absolute_uri, today=timezone.localdate())
        return HttpResponse(content, content_type="text/calendar; charset=utf-8")


class OwnDays(ApiView):
    pagination_class = None

    @extend_schema(operation_id="own_days", responses=OwnDaysOut)
    def get(self, request):
        """Whether your calendar has an address, and whether a letter comes in the morning."""
        return Response(_own_days(request.member))


def _own_days(member):
    feed = CalendarFeed.objects.of(member.shop_id).filter(member=member, ended_at=None).first()
    letter = MorningLetter.objects.of(member.shop_id).filter(member=member, wanted=True).exists()
    told = {"feed_since": feed and feed.created_at, "feed_last_read": feed and feed.last_read_at, "letter": letter}
    return OwnDaysOut(told).data


class OwnFeed(ApiView):
    pagination_class = None
    versioned = False  # an address is ended, never changed
    unkept = ("address",)

    @extend_schema(operation_id="make_calendar_feed", request=None, responses={201: FeedOut})
    def post(self, request):
        """A new address of your calendar, told this once. An earlier one ends."""
        _feed, secret = make_feed(request.member)
        address = request.build_absolute_uri(reverse("calendar_feed", args=[secret]))
        return Response({"address": address}, status=201, headers={"Cache-Control": "no-store"})

    @extend_schema(operation_id="end_calendar_feed", responses={204: None})
    def delete(self, request):
        """End the address. Calendars that read it get nothing from now on."""
        end_feed(request.member)
        return Response(status=204)


class OwnLetter(ApiView):
    pagination_class = None

    @extend_schema(operation_id="want_morning_letter", request=LETTER.schema(), responses=OwnDaysOut)
    def post(self, request):
        """Ask for the morning's letter, or no longer."""
        wanted = LETTER.fill(request.data).cleaned_data["wanted"]
        if wanted and not request.member.user.email:
            raise CannotBeDone("Nobody knows your e-mail address. The owner can enter it.")
        want_letter(request.member, wanted)
        return Response(_own_days(request.member))


class HandoverView(Document):
    @described("handover", HandoverOut)
    def get(self, request, job_id):
        """A job as it is handed to the next crew: marks, cards, open questions, who comes."""
        job = job_of(request.shop, job_id)
        told = handing.handover_of(job, timezone.localdate())
        return self.answer(lambda: handing.document(job, told), lambda: HandoverOut(asdict(told)).data)


urlpatterns = [
    path("crew/", CrewPlan.as_view(), name="crew_plan"),
    path("crew/<int:day_id>/", CrewDayView.as_view(), name="crew_day"),
    path("jobs/<int:job_id>/crew/", JobCrew.as_view(), name="job_crew"),
    path("jobs/<int:job_id>/crew/people/", WhoMayBePlanned.as_view(), name="crew_people"),
    path("rooms/<int:room_id>/crew/", RoomCrew.as_view(), name="room_crew"),
    path("calendar/", Calendar.as_view(), name="calendar"),
    path("calendar/file/", CalendarFile.as_view(), name="calendar_file"),
    path("own/days/", OwnDays.as_view(), name="own_days"),
    path("own/days/feed/", OwnFeed.as_view(), name="own_feed"),
    path("own/days/letter/", OwnLetter.as_view(), name="own_letter"),
    path("jobs/<int:job_id>/handover/", HandoverView.as_view(), name="handover"),
]
