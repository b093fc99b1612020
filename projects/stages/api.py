"""Stages over the API: what the next one asks, moves of one room or many, what was passed. The pages' own services."""

from django import forms
from django.http import Http404
from django.urls import path
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.catalogue.tables import stage_questions
from projects.jobs.models import Room, StageEvent
from projects.jobs.queries import room_at
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing, by_id, yes_no
from projects.platform.api.problems import CannotBeDone
from projects.platform.api.problems import Refused as BodyRefused
from projects.platform.api.rows import Rows, unknown, wrong
from projects.platform.api.views import ApiView, Record
from projects.platform.forms import NameFormField
from projects.platform.tenancy import StaleVersion
from projects.stages import queries, services
from projects.stages.forms import HoldForm, StageForm
from projects.stages.models import LONGEST, Pass
from projects.stages.order import next_of

MOST_PASSES = 60


class PassHere(forms.Form):
    guard = forms.CharField(label="The guard's key, as stage-asks tells it", max_length=60)
    why = NameFormField(max_length=LONGEST)


class SaidHere(forms.Form):
    question = forms.ChoiceField(
        label="What you have seen", choices=lambda: [(key, one.text) for key, one in stage_questions().items()]
    )
    words = NameFormField(max_length=LONGEST, required=False)


class NoteHere(forms.Form):
    note = NameFormField(label="Why", max_length=LONGEST, required=False)


class AnswerHere(forms.Form):
    words = NameFormField(label="What became of it", max_length=LONGEST)


STAGE, PASSED, SEEN = Body("StageBody", StageForm), Body("StagePassBody", PassHere), Body("StageSaidBody", SaidHere)
HOLD, NOTE, ANSWER = Body("HoldBody", HoldForm), Body("GoOnBody", NoteHere), Body("PassAnswerBody", AnswerHere)


class MoveIn(STAGE.schema()):  # type: ignore[misc]
    passes = PASSED.schema()(many=True, required=False, help_text="For the owner: what is passed, and why")
    says = SEEN.schema()(many=True, required=False, help_text="What you have seen and say by name")


class MoveRoomsIn(MoveIn):
    rooms = serializers.ListField(child=serializers.IntegerField(), max_length=services.MOST_AT_ONCE)


class PassShortOut(Record):
    by = serializers.CharField(source="by.user.name", read_only=True)

    class Meta:
        model = Pass
        fields = ("id", "guard", "title", "safety", "missing", "why", "by", "at", "answer", "answered_at", "version")
        read_only_fields = fields


class OpenPassOut(PassShortOut):
    room_name = serializers.CharField(source="room.name", read_only=True)

    class Meta(PassShortOut.Meta):
        fields = ("room", "room_name", *PassShortOut.Meta.fields)
        read_only_fields = fields


class ResultOut(serializers.Serializer):
    guard = serializers.CharField()
    title = serializers.CharField()
    outcome = serializers.CharField(help_text="met, passed, or noted where it was not looked at")
    missing = serializers.CharField(allow_blank=True)


class StageEventOut(Record):
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)
    results = ResultOut(many=True, read_only=True)

    class Meta:
        model = StageEvent
        fields = ("id", "came_from", "went_to", "note", "by", "at", "results")
        read_only_fields = fields


class RoomsMovedOut(serializers.Serializer):
    moved = serializers.ListField(child=serializers.IntegerField(), help_text="The rooms' ids")


class AskedOut(serializers.Serializer):
    guard = serializers.CharField(source="guard.key")
    title = serializers.CharField(source="guard.title")
    safety = serializers.BooleanField(source="guard.safety")
    question = serializers.CharField(source="guard.said", help_text="Met by saying so by name; empty otherwise")
    missing = serializers.CharField(help_text="What is missing and what to do; empty where it is met")


class AsksOut(serializers.Serializer):
    stage = serializers.IntegerField()
    asks = AskedOut(many=True)


class HeldOut(serializers.Serializer):
    held_up = serializers.CharField(help_text="on_hold, blocked or rework; empty: it goes on")
    held_up_why = serializers.CharField()
    waits_for = serializers.CharField()


def move_of(given):
    """What move_all takes, from a body. Raises Refused naming each field."""
    told = given if isinstance(given, dict) else {}
    rows = Rows()
    rest = {name: value for name, value in told.items() if name not in ("passes", "says", "rooms")}
    form = rows.form(STAGE, rest if isinstance(given, dict) else given, ())
    passes = rows.forms(PASSED, told.get("passes"), ("passes",), MOST_PASSES)
    says = rows.forms(SEEN, told.get("says"), ("says",), MOST_PASSES)
    rows.refuse()
    plain = form.cleaned_data
    return plain["stage"], {
        "note": plain["note"],
        "waits_for": plain["waits_for"],
        "passes": {one.cleaned_data["guard"]: one.cleaned_data["why"] for one in passes},
        "says": {one.cleaned_data["question"]: one.cleaned_data["words"] for one in says},
    }


def done(change):
    """What the service gives. Raises CannotBeDone with each room's reasons."""
    try:
        return change()
    except services.Refused as refused:
        told = CannotBeDone(str(refused))
        told.more = {"rooms": [_lacks(room, lacks) for room, lacks in refused.lacks.items()]}
        raise told from refused
    except Room.DoesNotExist:
        raise Http404 from None


def _lacks(room, lacks):
    names = ("key", "title", "words", "safety", "said")
    return {"room": room.pk, "name": room.name, "missing": [{n: getattr(one, n) for n in names} for one in lacks]}


class RoomStages(ApiView):
    listing = Listing(StageEvent, ordering=("at",))

    @extend_schema(operation_id="stages_of_room", responses=StageEventOut(many=True))
    def get(self, request, room_id):
        """Every move from stage to stage, the latest first, with what was asked. Nothing is ever taken out."""
        room = room_at(request.shop, room_id)
        events = room.stage_events.select_related("by__user").prefetch_related("results").order_by("-at", "-pk")
        return self.paged(events, StageEventOut)

    @extend_schema(operation_id="move_stage", request=MoveIn, responses={201: StageEventOut})
    def post(self, request, room_id):
        """Move the room to a stage, forward or back, and say who must act next. What is missing refuses it."""
        room = room_at(request.shop, room_id)
        if isinstance(request.data, dict) and "rooms" in request.data:
            raise BodyRefused([unknown(("rooms",))])
        to, told = move_of(request.data)
        event = done(lambda: services.move(room, to, by=request.member, **told))
        return Response(StageEventOut(event).data, status=201)


class StageAsks(ApiView):
    questions = ("stage",)

    @extend_schema(
        operation_id="stage_asks",
        parameters=[OpenApiParameter("stage", int, description="The stage asked about; left out: the next one")],
        responses=AsksOut,
    )
    def get(self, request, room_id):
        """What the way to a stage asks of the room, and what of it is missing."""
        self.refuse_unknown_questions(request.query_params)
        room = room_at(request.shop, room_id)
        to = self._wanted(request.query_params.get("stage"), room)
        return Response(AsksOut({"stage": to, "asks": queries.asked_of(room, to)}).data)

    @staticmethod
    def _wanted(asked, room):
        if asked is None:
            following = next_of(room.stage, room.job)
            return room.stage if following is None else following
        known = [str(key) for key, _name in StageForm().fields["stage"].choices]
        if asked not in known:
            raise BodyRefused([{"parameter": "stage", "detail": f"One of {', '.join(known)}.", "code": "unknown"}])
        return int(asked)


class RoomHold(ApiView):
    @extend_schema(operation_id="hold_room", request=HOLD.schema(), responses=HeldOut)
    def post(self, request, room_id):
        """Hold the room up: on hold, blocked by another trade, or rework; say who must act, and why."""
        room = room_at(request.shop, room_id)
        form = HOLD.fill(request.data)
        done(lambda: services.hold(room, by=request.member, **form.cleaned_data))
        return Response(HeldOut(room_at(request.shop, room_id)).data)


class RoomGoOn(ApiView):
    @extend_schema(operation_id="lift_hold", request=NOTE.schema(), responses=HeldOut)
    def post(self, request, room_id):
        """Let a held-up room go on."""
        room = room_at(request.shop, room_id)
        form = NOTE.fill(request.data)
        done(lambda: services.lift(room, by=request.member, **form.cleaned_data))
        return Response(HeldOut(room_at(request.shop, room_id)).data)


class MoveRooms(ApiView):
    @extend_schema(operation_id="move_rooms", request=MoveRoomsIn, responses=RoomsMovedOut)
    def post(self, request):
        """Move up to 200 rooms to one stage: all of them, or none with each room's reasons."""
        to, told = move_of(request.data)
        ids = self._rooms(request.data.get("rooms"))
        events = done(lambda: services.move_all(request.shop, ids, to, by=request.member, **told))
        return Response(RoomsMovedOut({"moved": [event.room_id for event in events]}).data)

    @staticmethod
    def _rooms(given):
        whole = isinstance(given, list) and all(type(one) is int and 0 < one < 2**63 for one in given)
        if not whole or not 1 <= len(set(given)) <= services.MOST_AT_ONCE:
            said = f"Give a list of 1 to {services.MOST_AT_ONCE} rooms' ids."
            raise BodyRefused([wrong(("rooms",), said)])
        return given


class OpenPasses(ApiView):
    listing = Listing(
        Pass, filters={"room": by_id("room_id"), "safety": yes_no("safety")}, ordering=("at", "updated_at")
    )

    @extend_schema(operation_id="open_passes", responses=OpenPassOut(many=True))
    def get(self, request):
        """What the owner let rooms past and nobody has met or answered yet, the oldest first."""
        return self.paged(queries.open_passes(request.shop), OpenPassOut)


class PassAnswer(ApiView):
    @extend_schema(operation_id="answer_pass", request=ANSWER.schema(), responses=PassShortOut)
    def post(self, request, room_id, pass_id):
        """Answer an open pass with words. A safety item stays open until it is met."""
        room = room_at(request.shop, room_id)
        passed = queries.pass_of(room, pass_id)
        form = ANSWER.fill(request.data)
        words = form.cleaned_data["words"]
        try:
            services.answer_pass(passed, words, by=request.member, seen_version=passed.version)
        except services.StaysOpen as stays:
            raise CannotBeDone(str(stays)) from stays
        except StaleVersion as stale:
            raise CannotBeDone("It is closed already.") from stale
        return Response(PassShortOut(queries.pass_of(room, pass_id)).data)


ROOM = "rooms/<int:room_id>/"

urlpatterns = [
    path(ROOM + "stages/", RoomStages.as_view(), name="stages"),
    path(ROOM + "stage-asks/", StageAsks.as_view(), name="stage_asks"),
    path(ROOM + "hold/", RoomHold.as_view(), name="room_hold"),
    path(ROOM + "go-on/", RoomGoOn.as_view(), name="room_go_on"),
    path(ROOM + "passes/<int:pass_id>/answer/", PassAnswer.as_view(), name="answer_pass"),
    path("stages/moves/", MoveRooms.as_view(), name="move_rooms"),
    path("stages/passes/", OpenPasses.as_view(), name="open_passes"),
]
