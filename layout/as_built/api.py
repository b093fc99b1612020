"""Where marks were really set and cut, over the API: entered singly or many at once, taken back, moves answered."""

from django import forms
from django.http import Http404
from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.as_built import services
from layout.as_built.models import AsBuilt, MarkMove, MoveState, Reason, Step
from layout.as_built.queries import marks_of
from layout.engine.lengths import LengthError
from layout.models import PLACE
from projects.jobs.queries import room_of
from projects.platform.api.bodies import Body
from projects.platform.api.bulk import many
from projects.platform.api.lengths import LengthOut
from projects.platform.api.lists import Listing, choice
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import ApiView, Record, Stale
from projects.platform.forms import LengthFormField, NoteFormField, TapeForm


class MarkForm(TapeForm):
    """One mark at one step. Without a place it is where it goes now."""

    mark = forms.CharField(label="As on the card: A3", max_length=8)
    step = forms.ChoiceField(label="How far it has come", choices=Step.choices)
    along = LengthFormField(
        label="From the ceiling's edge at the zero corner", allow_zero=True, required=False, high=PLACE[1]
    )
    across = LengthFormField(label="And across", allow_zero=True, required=False, high=PLACE[1])
    reason = forms.ChoiceField(label="Why it stands elsewhere", choices=Reason.choices, required=False)
    words = NoteFormField(label="In words", max_length=400, required=False)
    base = forms.IntegerField(
        label="The version of this mark and step that was read; 0 for none", min_value=0, required=False
    )
    alone = forms.BooleanField(label="Out of its line: what stands in it stays", required=False)
    revision = forms.IntegerField(label="Of the card that was worked from", min_value=1, required=False)


class TakeBackMarkForm(forms.Form):
    mark = forms.CharField(max_length=8)
    step = forms.ChoiceField(choices=Step.choices)
    base = forms.IntegerField(label="The version that was read", min_value=1)


class MoveAnswerForm(forms.Form):
    yes = forms.BooleanField(label="Yes: the marks go there. No: say why in the note", required=False)
    note = NoteFormField(max_length=400, required=False)


MARK = Body("AsBuiltBody", MarkForm)
TAKE_BACK = Body("TakeBackMarkBody", TakeBackMarkForm)
ANSWER = Body("MarkMoveAnswerBody", MoveAnswerForm)
MARK_IN = MARK.schema()


class EnteredOut(Record):
    mark = serializers.CharField(source="ident", read_only=True)
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = AsBuilt
        fields = ("mark", "step", "along", "across", "to_along", "to_across", "reason", "words", "by", "at", "version")
        read_only_fields = fields


class MarkMoveOut(Record):
    mark = serializers.CharField(source="ident", read_only=True)
    asked_by = serializers.CharField(source="asked_by.user.name", allow_null=True, default=None, read_only=True)
    decided_by = serializers.CharField(source="decided_by.user.name", allow_null=True, default=None, read_only=True)
    revision = serializers.IntegerField(source="revision.number", read_only=True)

    class Meta:
        model = MarkMove
        fields = (
            "id", "revision", "mark", "step", "along", "across", "alone", "state", "reason", "words", "far", "why",
            "asked_by", "at", "decided_by", "decided_at", "note",
        )  # fmt: skip
        read_only_fields = fields


class Along(LengthOut):
    """The first of a place's two lengths."""

    def to_representation(self, place):
        return super().to_representation(place[0])


class Across(LengthOut):
    def to_representation(self, place):
        return super().to_representation(place[1])


class AsBuiltMarkOut(serializers.Serializer):
    """A mark as things stand: where the revision has it, where it goes now, and what was entered, by step."""

    mark = serializers.CharField(source="ident")
    kind = serializers.CharField(source="mark.kind")
    along = LengthOut(source="mark.along")
    across = LengthOut(source="mark.across")
    goes_along = Along(source="place", help_text="A move that counts is in it")
    goes_across = Across(source="place")
    built_along = Along(source="built", help_text="As cut, else as it was set last")
    built_across = Across(source="built")
    entered = serializers.SerializerMethodField()
    astray = serializers.ListField(child=serializers.CharField(), help_text="Steps at which it was set elsewhere")

    def get_entered(self, mark) -> EnteredOut(many=True):  # type: ignore[valid-type]
        found = [mark.steps[step] for step in Step.values if step in mark.steps]
        return EnteredOut(found, many=True, context=self.context).data


class AsBuiltOut(serializers.Serializer):
    revision = serializers.IntegerField(allow_null=True)
    marks = AsBuiltMarkOut(many=True)
    waits = MarkMoveOut(many=True, help_text="Moves that wait for a yes")


class RecordedOut(serializers.Serializer):
    entered = EnteredOut(source="record", allow_null=True, help_text="null: it waits for a yes")
    move = MarkMoveOut(allow_null=True, help_text="What moves along with it, done or asked")


def _record(room, said, by):
    told = {name: said[name] for name in ("step", "along", "across", "reason", "words", "alone")}
    return services.record(
        room, said["mark"], **told, by=by, base=said["base"] or 0, number=said["revision"]
    )


def _kept(keep, tape):
    """What the service keeps. Raises CannotBeDone, and Stale with what somebody else entered."""
    try:
        return keep()
    except services.Differs as other:
        raise _stale(other, tape) from other
    except (services.NotKept, LengthError) as refused:
        raise CannotBeDone(str(refused)) from refused


def _stale(other, tape):
    theirs = EnteredOut(other.theirs, context={"tape": tape}).data if other.theirs else {}
    mine = {name: theirs.get(name) and str(at) for name, at in zip(("along", "across"), other.mine, strict=True)}
    stale = Stale(mine, theirs, str(other.theirs.version if other.theirs else 0))
    stale.detail = str(other)
    return stale


class AsBuiltView(ApiView):
    pagination_class = None

    @extend_schema(operation_id="as_built", responses=AsBuiltOut)
    def get(self, request, room_id):
        """Every mark of the newest revision: where it goes now, and where it was set at each step."""
        room = room_of(request.shop, room_id)
        now = marks_of(room)
        told = {"revision": now.revision and now.revision.number, "marks": now.marks, "waits": now.waits}
        return Response(AsBuiltOut(told, context={"tape": room.job.tape}).data)

    @extend_schema(operation_id="record_mark", request=MARK_IN, responses={201: RecordedOut, 202: RecordedOut})
    def post(self, request, room_id):
        """Enter one mark at one step. Set elsewhere it takes its lines along: within the job's limit at once, beyond it
        when somebody who may move marks says yes (202). `base` is the version you read; entered since, 412 with both.
        """
        room = room_of(request.shop, room_id)
        tape = room.job.tape
        said = MARK.fill(request.data, tape=tape).cleaned_data
        kept = _kept(lambda: _record(room, said, request.member), tape)
        return Response(RecordedOut(kept, context={"tape": tape}).data, status=202 if kept.waits else 201)


class AsBuiltMany(ApiView):
    key_required = True

    @extend_schema(operation_id="record_marks", request=many(MARK_IN), responses={201: many(RecordedOut)})
    def post(self, request, room_id):
        """Enter up to 200 marks at once: all of them, or none with what is wrong at its place."""
        room = room_of(request.shop, room_id)
        tape = room.job.tape

        def enter(item):
            said = MARK.fill(item, tape=tape).cleaned_data
            kept = _kept(lambda: _record(room, said, request.member), tape)
            return RecordedOut(kept, context={"tape": tape}).data

        return self.bulk(enter)


class TakeBackMark(ApiView):
    @extend_schema(operation_id="take_back_mark", request=TAKE_BACK.schema(), responses=EnteredOut)
    def post(self, request, room_id):
        """What was entered by mistake no longer counts; it stays in the history."""
        room = room_of(request.shop, room_id)
        said, tape = TAKE_BACK.fill(request.data).cleaned_data, room.job.tape
        taken = _kept(
            lambda: services.take_back(room, said["mark"], step=said["step"], by=request.member, base=said["base"]),
            tape,
        )
        return Response(EnteredOut(taken, context={"tape": tape}).data)


class MarkMoves(ApiView):
    listing = Listing(MarkMove, filters={"state": choice("state", MoveState.values)}, ordering=("at", "updated_at"))

    @extend_schema(operation_id="mark_moves", responses=MarkMoveOut(many=True))
    def get(self, request, room_id):
        """Marks that were put elsewhere than the card says, the latest first."""
        room = room_of(request.shop, room_id)
        rows = MarkMove.objects.of(request.shop).filter(room=room).order_by("-pk")
        rows = rows.select_related("revision", "asked_by__user", "decided_by__user")
        return self.paged(rows, MarkMoveOut, tape=room.job.tape)


class AnswerMarkMove(ApiView):
    @extend_schema(operation_id="answer_mark_move", request=ANSWER.schema(), responses=MarkMoveOut)
    def post(self, request, room_id, move_id):
        """Say yes, and the marks go where the crew put them; or no, with a note. Once."""
        room = room_of(request.shop, room_id)
        move = room.mark_moves.filter(pk=move_id).first()
        if move is None:
            raise Http404
        said = ANSWER.fill(request.data).cleaned_data
        if not said["yes"] and not said["note"]:
            raise Refused([wrong(("note",), "A no needs a note: say what the crew is to do instead.", "required")])
        tape = room.job.tape
        answered = _kept(
            lambda: services.answer(room, move.pk, yes=said["yes"], note=said["note"], by=request.member), tape
        )
        return Response(MarkMoveOut(answered, context={"tape": tape}).data)


ROOM = "rooms/<int:room_id>/as-built/"

urlpatterns = [
    path(ROOM, AsBuiltView.as_view(), name="as_built"),
    path(ROOM + "bulk/", AsBuiltMany.as_view(), name="as_built_bulk"),
    path(ROOM + "take-back/", TakeBackMark.as_view(), name="take_back_mark"),
    path(ROOM + "moves/", MarkMoves.as_view(), name="mark_moves"),
    path(ROOM + "moves/<int:move_id>/answer/", AnswerMarkMove.as_view(), name="answer_mark_move"),
]
