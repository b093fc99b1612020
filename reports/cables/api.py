"""Cables over the API: a job's schedule and reel plan, runs set by hand, opened reels and pulls. Routes nothing."""

from django import forms
from django.http import Http404
from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.services import NotAsIssued
from projects.jobs.queries import job_of, room_of
from projects.platform.api.bodies import Body
from projects.platform.api.lengths import LengthOut
from projects.platform.api.lists import Listing, by_id, text
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.views import ApiView, Record, Stale, etag, taken
from projects.platform.forms import NoteFormField, TapeForm
from projects.platform.tenancy import StaleVersion
from reports.cables.gather import Waiting, job_cables, reel_plans, room_cables
from reports.cables.papers import turned
from reports.cables.web import newest_revision
from reports.documents.takeoff import missing_in_words
from reports.takeoffs.rules import rules_of
from reports.wiring import services
from reports.wiring.forms import HandRunForm, ReelForm
from reports.wiring.models import HIGHEST_MARK, HandRun, Pull, Reel
from reports.wiring.queries import hand_runs_of, pulls_of, reel_of, reels_of


class PullHere(TapeForm):
    job = forms.IntegerField(min_value=1, label="The job's id")
    run = forms.CharField(max_length=60, label="The cable's number in the job's schedule, such as 2-A3")
    start_mark = forms.IntegerField(min_value=0, max_value=HIGHEST_MARK)
    end_mark = forms.IntegerField(min_value=0, max_value=HIGHEST_MARK)
    sure = forms.BooleanField(required=False, label="Kept also where the marks look wrong")
    note = NoteFormField(required=False, max_length=200)


def _reel_example():
    return ReelForm(cables=[(key, key) for key in ("14/2", "speaker_16/2")]).fields


HAND = Body("HandRunBody", HandRunForm)
REEL = Body("ReelBody", ReelForm, example=_reel_example)
PULL = Body("PullBody", PullHere)


class CablePartOut(serializers.Serializer):
    part = serializers.CharField()
    length = LengthOut()


class CableOut(serializers.Serializer):
    """One cable: its run as counted, and the piece cut for it."""

    number = serializers.CharField(source="id")
    room = serializers.IntegerField(source="room.room_id")
    kind = serializers.CharField(source="run.kind.value")
    from_id = serializers.CharField(source="run.from_id")
    to_id = serializers.CharField(source="run.to_id")
    cable = serializers.CharField(source="run.cable")
    zone = serializers.CharField(source="run.zone")
    circuit = serializers.CharField(source="run.circuit")
    length = LengthOut(source="run.length")
    by_hand = LengthOut(source="run.by_hand", allow_null=True)
    computed = LengthOut(source="run.computed")
    parts = serializers.SerializerMethodField()
    bored = serializers.IntegerField(source="run.bored")
    around = serializers.ListField(source="run.around", child=serializers.CharField())
    notes = serializers.SerializerMethodField()
    piece = LengthOut()
    pulled = serializers.SerializerMethodField()

    def get_parts(self, cable) -> CablePartOut(many=True):
        rows = [{"part": part.value, "length": length} for part, length in cable.run.parts]
        return CablePartOut(rows, many=True, context=self.context).data

    def get_notes(self, cable) -> list[str]:
        return [note.value for note in cable.run.notes]

    def get_pulled(self, cable) -> bool:
        return cable.key in self.context["found"].pulled


def _found(job, request):
    try:
        return job_cables(job, request.query_params.get("rooms_page"))
    except NotAsIssued as error:
        raise CannotBeDone(str(error)) from error


class JobCables(ApiView):
    listing = Listing()

    questions = ("rooms_page",)

    @extend_schema(operation_id="job_cables", responses=CableOut(many=True))
    def get(self, request, job_id):
        """Every cable of the job's laid out rooms, 100 rooms at a time (rooms_page)."""
        job = job_of(request.shop, job_id)
        found = _found(job, request)
        return self.paged(found.cables, CableOut, tape=job.tape, found=found)


class PlannedReelOut(serializers.Serializer):
    opened = serializers.IntegerField(source="reel_id", help_text="The opened reel's id; 0 for one to buy")
    length = LengthOut()
    left = LengthOut()
    cables = serializers.SerializerMethodField()

    def get_cables(self, reel) -> list[str]:
        return [cable.id for cable in reel.cables]


class CablePlanOut(serializers.Serializer):
    """One kind of cable: opened reels first, then what is bought for it."""

    cable = serializers.CharField()
    pieces = LengthOut()
    leftover = LengthOut()
    exact = serializers.BooleanField(help_text="Proved: no purchase is better, and none as good leaves less")
    reels = PlannedReelOut(many=True)
    too_long = serializers.SerializerMethodField()
    refused = serializers.CharField()

    def get_too_long(self, plan) -> list[str]:
        return [cable.id for cable in plan.too_long]


class ReelPlan(ApiView):
    listing = Listing()

    questions = ("rooms_page",)

    @extend_schema(operation_id="reel_plan", responses=CablePlanOut(many=True))
    def get(self, request, job_id):
        """Which reels to open and to buy, and what comes off each."""
        job = job_of(request.shop, job_id)
        plans = reel_plans(_found(job, request))
        return self.paged(plans, CablePlanOut, tape=job.tape)


# Runs set by hand


class HandRunOut(Record):
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = HandRun
        fields = ("id", "version", "kind", "low_id", "high_id", "circuit", "length", "way", "why", "by", "at")
        read_only_fields = fields


class HandRuns(ApiView):
    listing = Listing(HandRun, filters={"kind": text("kind")}, ordering=("at", "updated_at"))

    @extend_schema(operation_id="hand_runs", responses=HandRunOut(many=True))
    def get(self, request, room_id):
        """The room's runs set by hand. way: its bends, 'x,y' in nanometers from the left and the door wall."""
        room = room_of(request.shop, room_id)
        return self.paged(hand_runs_of(room), HandRunOut, tape=room.job.tape)

    @extend_schema(operation_id="set_run_by_hand", request=HAND.schema(), responses={201: HandRunOut})
    def post(self, request, room_id):
        """Set one run: its length, its bends, or both. seen: the version of what was set before."""
        room = room_of(request.shop, room_id)
        data = HAND.fill(request.data, tape=room.job.tape).cleaned_data
        cable = _cable(room, data["run"])
        if isinstance(cable, Waiting) and data["length"] is None:
            said = "Give its length: nothing is computed for this run that a way could go with."
            raise Refused([{"pointer": "/length", "detail": said, "code": "required"}])
        way = turned(data["bends"], cable.run.from_id != cable.run.key[1])
        try:
            record = services.set_run(
                room, cable.run.key, data["seen"], length=data["length"], way=way, why=data["why"], by=request.member
            )
        except StaleVersion as stale:
            stored = HandRunOut(stale.theirs, context={"tape": room.job.tape}).data
            raise Stale(request.data, stored, etag(stale.theirs)) from stale
        return self.told(record, HandRunOut(record, context={"tape": room.job.tape}).data, status=201)


def _cable(room, number):
    revision = newest_revision(room)
    if revision is None:
        raise CannotBeDone("This room has no issued revision yet. Issue one first.")
    try:
        found = room_cables(room, revision)
    except NotAsIssued as error:
        raise CannotBeDone(str(error)) from error
    cable = found.settable.get(number)
    if cable is None:
        missing = " ".join(missing_in_words(each) for each in found.wiring.missing)
        said = f"{number} is no run of this room now. {missing}".strip()
        raise Refused([{"pointer": "/run", "detail": said, "code": "unknown"}])
    return cable


class HandRunView(ApiView):
    @extend_schema(operation_id="hand_run", responses=HandRunOut)
    def get(self, request, room_id, hand_run_id):
        """One run set by hand."""
        room, record = self._record(room_id, hand_run_id)
        return self.told(record, HandRunOut(record, context={"tape": room.job.tape}).data)

    @extend_schema(operation_id="put_run_back", responses={204: None})
    def delete(self, request, room_id, hand_run_id):
        """The computed run counts again."""
        room, record = self._record(room_id, hand_run_id)
        self.seen_version(record, HandRunOut(record, context={"tape": room.job.tape}).data)
        services.put_back(room, record.key)
        return Response(status=204)

    def _record(self, room_id, hand_run_id):
        room = room_of(self.request.shop, room_id)
        record = hand_runs_of(room).filter(pk=hand_run_id).first()
        if record is None:
            raise Http404
        return room, record


# Reels


class ReelOut(Record):
    class Meta:
        model = Reel
        fields = ("id", "version", "cable", "name", "full", "left", "marks_in", "mark", "lies")
        read_only_fields = fields


class Reels(ApiView):
    listing = Listing(
        Reel,
        filters={"cable": text("cable")},
        ordering=("name", "left", "updated_at"),
        search=("name", "lies", "note"),
    )

    @extend_schema(operation_id="reels", responses=ReelOut(many=True))
    def get(self, request):
        """Opened reels, and what is left on each."""
        return self.paged(reels_of(request.shop), ReelOut, tape=request.shop.tape)

    @extend_schema(
        operation_id="open_reel", request=REEL.schema(defaults={"left", "mark", "lies"}), responses={201: ReelOut}
    )
    def post(self, request):
        """Put an opened reel in stock."""
        cables = [(key, cable.name) for key, cable in rules_of(request.shop).cables.items()]
        data = REEL.fill(request.data, tape=request.shop.tape, cables=cables).cleaned_data
        try:
            reel = services.open_reel(request.shop, **data)
        except services.ReelNameTaken as error:
            raise taken("/name", error) from error
        return self.told(reel, ReelOut(reel, context={"tape": request.shop.tape}).data, status=201)


class PullOut(Record):
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = Pull
        fields = (
            "id", "room", "kind", "low_id", "high_id", "circuit", "start_mark", "end_mark", "used", "left_after",
            "undoes", "note", "by", "at",
        )  # fmt: skip
        read_only_fields = fields


class Pulls(ApiView):
    listing = Listing(Pull, filters={"room": by_id("room_id")}, ordering=("at", "updated_at"))

    @extend_schema(operation_id="pulls", responses=PullOut(many=True))
    def get(self, request, reel_id):
        """What was pulled off a reel, the latest first. undoes: the pull a line takes back."""
        return self.paged(pulls_of(reel_of(request.shop, reel_id)), PullOut, tape=request.shop.tape)

    @extend_schema(operation_id="pull_cable", request=PULL.schema(defaults={"sure", "note"}), responses={201: PullOut})
    def post(self, request, reel_id):
        """One run off this reel, by the marks on its jacket; rising or falling is all one."""
        reel = reel_of(request.shop, reel_id)
        data = PULL.fill(request.data, tape=request.shop.tape).cleaned_data
        job, cable = self._run(reel, data)
        try:
            pulled = services.pull(
                reel, data["start_mark"], data["end_mark"],
                room=job.rooms.get(pk=cable.room.room_id), key=cable.run.key, computed=cable.whole_length,
                sure=data["sure"], note=data["note"], by=request.member,
            )  # fmt: skip
        except services.NotPulled as refused:
            code = "ask" if isinstance(refused, services.AskFirst) else "invalid"
            pointer = f"/{refused.field}" if refused.field else ""
            raise Refused([{"pointer": pointer, "detail": str(refused), "code": code}]) from refused
        return Response(PullOut(pulled, context={"tape": request.shop.tape}).data, status=201)

    def _run(self, reel, data):
        try:
            job = job_of(self.request.shop, data["job"])
        except Http404:
            raise Refused([{"pointer": "/job", "detail": "There is no such job.", "code": "unknown"}]) from None
        found = _found(job, self.request)
        cable = next((each for each in found.to_pull if each.id == data["run"]), None)
        if cable is None or cable.run.cable != reel.cable:
            said = "No run of this number is still to be pulled off this kind of cable."
            raise Refused([{"pointer": "/run", "detail": said, "code": "unknown"}])
        return job, cable


urlpatterns = [
    path("jobs/<int:job_id>/cables/", JobCables.as_view(), name="job_cables"),
    path("jobs/<int:job_id>/reel-plan/", ReelPlan.as_view(), name="reel_plan"),
    path("rooms/<int:room_id>/runs-by-hand/", HandRuns.as_view(), name="hand_runs"),
    path("rooms/<int:room_id>/runs-by-hand/<int:hand_run_id>/", HandRunView.as_view(), name="hand_run"),
    path("reels/", Reels.as_view(), name="reels"),
    path("reels/<int:reel_id>/pulls/", Pulls.as_view(), name="pulls"),
]
