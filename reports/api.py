"""What comes out of a layout, over the API: the Rooms list, cards, schedule, takeoff, checklist. Counts nothing."""

from django.http import HttpResponse
from django.urls import include, path
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.renderers import JSONRenderer

from layout.drawing.values import Datum
from layout.services import thawed
from projects.catalogue.tables import stages
from projects.jobs.models import Room
from projects.jobs.queries import job_of, room_of
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing, text
from projects.platform.api.problems import CannotBeDone, Refused, Unavailable
from projects.platform.api.views import ApiView, Pages, Record
from projects.platform.languages import printed_in
from reports import papers, queries
from reports.checks.paper import runs_for_paper
from reports.contents import conditions, facts, holes
from reports.document_values import ChecklistOut, JobTakeoffOut, RoomRow, RoomTakeoffOut, ScheduleOut
from reports.documents.card import card_pdf, card_picture
from reports.documents.head import PAPERS
from reports.documents.pdf import CannotPrint
from reports.estimating.checklist import tailored
from reports.estimating.schedule import job_schedule
from reports.forms import PrintForm
from reports.models import CardCopy
from reports.papers_api import Document, IssuedView, Pdf, Png, described, pdf_answer
from reports.rooms import asked as rooms_asked
from reports.rooms.queries import SHOWN, facts_of, rooms_asked_for, rooms_in_scope
from reports.services import log_copy
from reports.sheets import card_sheet, datum_for_stage, datums_of
from reports.takeoffs.counting import MOST_FOR_A_PAGE, MustBeCounted, count_job, count_revision
from reports.takeoffs.rules import rules_of


class CardCopyOut(Record):
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = CardCopy
        fields = ("id", "how", "held_by", "datum", "by", "at")
        read_only_fields = fields


def _print_example():
    return PrintForm(faces=list(Datum)).fields


CARD = Body("CardBody", PrintForm, example=_print_example)


# The Rooms list


def _choices(name, known):
    return OpenApiParameter(name, str, enum=[str(key) for key in known])


ROOM_QUESTIONS = {
    "stage": [stage.number for stage in stages()],
    "state": rooms_asked.STATES,
    "flag": rooms_asked.FLAGS,
    "sort": rooms_asked.SORTS,
}


class Rooms(ApiView):
    listing = Listing(Room, filters={"level": text("level")}, own_order="sort")

    questions = ("job", "q", *ROOM_QUESTIONS)

    @extend_schema(
        operation_id="rooms",
        responses=RoomRow(many=True),
        parameters=[
            OpenApiParameter("job", int),
            OpenApiParameter("q", str, description="Words of the room's or the job's name, or the job's number"),
            *(_choices(name, known) for name, known in ROOM_QUESTIONS.items()),
        ],
    )
    def get(self, request):
        """Every room of the shop, narrowed and ordered as on the Rooms screen."""
        self.refuse_unknown_choices(request.query_params)
        asked = rooms_asked.read({**request.query_params.dict(), "view": rooms_asked.TABLE})
        rooms = rooms_asked_for(rooms_in_scope(request.shop, asked, under_way=False), asked)
        return self.paged(
            rooms.select_related("job").only(*SHOWN), lambda page, **more: RoomRow(facts_of(page, request.shop), **more)
        )

    def refuse_unknown_choices(self, given):
        """The screen leaves out what it does not know and says so; here that would be a wrong list."""
        errors = [
            {"parameter": name, "detail": f"One of: {', '.join(map(str, known))}.", "code": "invalid"}
            for name, known in ROOM_QUESTIONS.items()
            if given.get(name, "") not in ("", *map(str, known))
        ]
        job = given.get("job", "")
        if job and not (job.isascii() and job.isdecimal() and len(job) <= rooms_asked.LONGEST_ID):
            errors.append({"parameter": "job", "detail": "A job's id, a whole number.", "code": "invalid"})
        if errors:
            raise Refused(errors)


# Documents


class RoomDocument(Document):
    def laid(self, room_id, number):
        room = room_of(self.request.shop, room_id)
        return queries.Laid(room, queries.revision_with_marks(room, number))

    def laid_rooms(self, job_id):
        job = job_of(self.request.shop, job_id)
        laid = queries.laid_rooms(job)
        if not laid:
            raise CannotBeDone("No room of this job has an issued revision yet. Issue one first.")
        return job, laid


def _schedule(laid):
    counted = job_schedule(
        [(one.room.name, holes(one.revision)) for one in laid], facts([one.revision for one in laid])
    )
    return ScheduleOut(counted, context={"tape": laid[0].room.job.tape}).data


class RoomSchedule(RoomDocument):
    @described("schedule", ScheduleOut)
    def get(self, request, room_id, number):
        """What goes in the ceiling of a revision, and what it draws."""
        one = self.laid(room_id, number)
        return self.answer(lambda: papers.schedule(one.room, [one], on=timezone.localdate()), lambda: _schedule([one]))


class RoomTakeoff(RoomDocument):
    @described("takeoff", RoomTakeoffOut)
    def get(self, request, room_id, number):
        """What a revision takes, exactly, each line with the rule behind it."""
        one = self.laid(room_id, number)
        return self.answer(
            lambda: papers.takeoff(one.room, one, on=timezone.localdate()),
            lambda: _room_takeoff(one),
        )


def _room_takeoff(one):
    counted = count_revision(one.room, one.revision, rules_of(one.room.shop))
    return RoomTakeoffOut(counted.takeoff, context={"tape": one.room.job.tape}).data


class RoomChecklist(RoomDocument):
    @described("checklist", ChecklistOut)
    def get(self, request, room_id, number):
        """The rough-in checklist, and which items bear on this room. It does not say that the work complies."""
        one = self.laid(room_id, number)
        return self.answer(lambda: papers.rough_in_checklist(one, on=timezone.localdate()), lambda: _checklist(one))


def _checklist(one):
    run = runs_for_paper([one.room])[one.room.pk]
    items = tailored(run.checklist.items, conditions(one.room, one.revision))
    answers = [
        {"number": number, "outcome": said.outcome, "words": said.words, "who": said.who}
        for number, said in sorted(run.answers.items())
    ]
    told = {"version": run.checklist.version, "closing": run.checklist.closing, "items": items, "answers": answers}
    return ChecklistOut(told).data


class JobSchedule(RoomDocument):
    @described("job_schedule", ScheduleOut)
    def get(self, request, job_id):
        """The schedule over the job's rooms, each by its newest revision."""
        job, laid = self.laid_rooms(job_id)
        return self.answer(lambda: papers.schedule(job, laid, on=timezone.localdate()), lambda: _schedule(laid))


class JobTakeoff(RoomDocument):
    @described("job_takeoff", JobTakeoffOut)
    def get(self, request, job_id):
        """What the job orders: the rooms added up exactly, made whole by the shop's rules, then the spares.

        A room nobody has laid out is in it by its counts, and is named in `counted`.
        """
        job = job_of(request.shop, job_id)
        try:
            counted = count_job(job, brief=True, at_most=MOST_FOR_A_PAGE)
        except MustBeCounted as wait:
            raise CannotBeDone(str(wait)) from wait
        if not counted.rooms:
            raise CannotBeDone("No room of this job is laid out or counted yet. Issue a layout or enter counts first.")
        context = {"tape": job.tape}
        return self.answer(
            lambda: papers.job_takeoff(job, on=timezone.localdate()),
            lambda: JobTakeoffOut(counted.job, context=context).data | {"left_out": counted.left_out},
        )


# Cards


class Cards(IssuedView):
    pagination_class = Pages

    listing = Listing(CardCopy, ordering=("at", "updated_at"), search=("held_by",))

    def get_renderers(self):
        """What is printed or sent comes as PDF or PNG; who has it, as JSON."""
        return [Pdf(), Png()] if self.request is not None and self.request.method == "POST" else [JSONRenderer()]

    @extend_schema(operation_id="cards", responses=CardCopyOut(many=True))
    def get(self, request, room_id, number):
        """Who has a card of this revision, the latest first."""
        one = queries.revision_with_marks(room_of(request.shop, room_id), number)
        copies = CardCopy.objects.of(request.shop).filter(revision=one).select_related("by__user")
        return self.paged(copies, CardCopyOut)

    @extend_schema(
        operation_id="print_card",
        request=CARD.schema(defaults={"datum", "paper"}),
        responses={
            (200, "application/pdf"): OpenApiTypes.BINARY,
            (200, "image/png"): OpenApiTypes.BINARY,
        },
    )
    def post(self, request, room_id, number):
        """Print the card (PDF) or send it (PNG), and write down who has it."""
        room = room_of(request.shop, room_id)
        revision = queries.revision_with_marks(room, number)
        layout = thawed(revision)
        start = {"datum": datum_for_stage(layout, room.stage).value, "paper": "letter"}
        data = CARD.fill(request.data, start=start, faces=datums_of(layout)).cleaned_data
        sent, paper = data["how"] == CardCopy.How.SENT, PAPERS[data["paper"]]
        try:
            with printed_in(data["language"]):
                sheet = card_sheet(revision, room, Datum(data["datum"]))
                content = card_picture(sheet, paper) if sent else card_pdf(sheet, paper)
        except CannotPrint as error:
            raise Unavailable(str(error)) from error
        log_copy(
            revision, how=data["how"], held_by=data["held_by"], datum=data["datum"], by=request.member,
            language=data["language"],
        )  # fmt: skip
        return HttpResponse(content, content_type=Png.media_type) if sent else pdf_answer(content)


REVISION = "rooms/<int:room_id>/revisions/<int:number>/"

urlpatterns = [
    path("rooms/", Rooms.as_view(), name="rooms"),
    path(REVISION + "cards/", Cards.as_view(), name="cards"),
    path(REVISION + "schedule/", RoomSchedule.as_view(), name="schedule"),
    path(REVISION + "takeoff/", RoomTakeoff.as_view(), name="takeoff"),
    path(REVISION + "checklist/", RoomChecklist.as_view(), name="checklist"),
    path("jobs/<int:job_id>/schedule/", JobSchedule.as_view(), name="job_schedule"),
    path("jobs/<int:job_id>/takeoff/", JobTakeoff.as_view(), name="job_takeoff"),
    path("", include("reports.cables.api")),
    path("", include("reports.cables.papers_api")),
    path("", include("reports.figures.api")),
    path("", include("reports.field.api")),
    path("", include("reports.office.api")),
    path("", include("reports.job_papers_api")),
    path("", include("reports.prices.api")),
    path("", include("reports.prices.import_api")),
    path("", include("reports.prices.labor_api")),
    path("", include("reports.job_prices_api")),
    path("", include("reports.takeoffs.api")),
    path("", include("reports.takeoffs.more_api")),
    path("", include("reports.takeoffs.rules_api")),
    path("", include("reports.purchasing.api")),
    path("", include("reports.purchasing.moves_api")),
    path("", include("reports.purchasing.pick_api")),
    path("", include("reports.bids.outcomes_api")),
    path("", include("reports.bids.api")),
    path("", include("reports.changes.api")),
    path("", include("reports.changes.actions_api")),
    path("", include("reports.changes.extras_api")),
    path("", include("reports.inspections.api")),
    path("", include("reports.checks.api")),
    path("", include("reports.rooms.api")),
    path("", include("reports.approvals.api")),
    path("", include("reports.close_out.api")),
    path("", include("reports.days.api")),
    path("", include("reports.marking.api")),
]
