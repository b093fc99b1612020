"""What suits a ceiling, over the API: framing to be laid, a lid's boxes, lines over a task, the room next door."""

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.draft_api import DraftOut, draft_of, from_the_draft, told_draft
from layout.editor.api import ceiling_told
from layout.engine.lengths import LengthError, as_typed
from layout.engine.room import lay_out
from layout.inputs import NotLaidOutYet, inputs_of
from layout.offer_out import OfferOut
from layout.offers.taking import take_way
from layout.services import NoLightType
from layout.suit import framing, tasks
from layout.suit.forms import TASKS, BoxForm, FramingForm, HoldForm, NextDoorForm, TakeFramingForm, TaskForm
from layout.suit.lid import is_isolated, lid_page
from layout.suit.web import next_door_form, next_door_of, walls_of
from projects.catalogue.tables import ceiling_systems
from projects.ceilings.api import CeilingOut
from projects.ceilings.services import TooMany, ceiling_of
from projects.jobs.queries import room_of
from projects.platform.api.asking import answered, parameters
from projects.platform.api.bodies import Body
from projects.platform.api.lengths import LengthOut
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import ApiView, Stale, etag
from projects.platform.tenancy import StaleVersion

REFUSED = (LengthError, NotLaidOutYet, NoLightType)
FRAMING = Body("TakeFramingBody", TakeFramingForm)


TASK = Body("TaskBody", TaskForm, example=lambda: TaskForm.base_fields)
NEXT_DOOR = Body("NextDoorBody", NextDoorForm, example=lambda: NextDoorForm.base_fields)
HOLD = Body("HeldOfferBody", HoldForm)
OFFER_OF = tuple(name for name in HoldForm.base_fields if name != "version")
HoldTaskIn = type("HoldTaskBody", (HOLD.schema(), TASK.schema(partial=True)), {})
HoldNextDoorIn = type("HoldNextDoorBody", (HOLD.schema(), NEXT_DOOR.schema()), {})


class FramingOfferOut(serializers.Serializer):
    key = serializers.CharField(help_text="Send it back to take this one")
    title = serializers.CharField()
    words = serializers.ListField(child=serializers.CharField())
    costs_the_marks = serializers.CharField(source="lost", allow_blank=True)


class FramingToSuitOut(serializers.Serializer):
    can_be_laid = serializers.BooleanField(help_text="false: this ceiling's framing stands already")
    cautions = serializers.ListField(child=serializers.CharField())
    offers = FramingOfferOut(many=True)


class BoxSizeOut(serializers.Serializer):
    what = serializers.CharField()
    holes = serializers.IntegerField()
    long = LengthOut()
    wide = LengthOut()
    deep = LengthOut(allow_null=True)


class BoxedMarkOut(serializers.Serializer):
    mark = serializers.CharField(source="id")
    what = serializers.CharField()
    bay = serializers.CharField(allow_blank=True)
    wont_fit = serializers.ListField(source="wont", child=serializers.CharField())


class LidOut(serializers.Serializer):
    isolated = serializers.BooleanField(help_text="Whether the room's ceiling is an isolated lid at all")
    holes = serializers.IntegerField()
    boxes = BoxSizeOut(many=True)
    marks = BoxedMarkOut(many=True)
    unknown = serializers.ListField(child=serializers.CharField(), help_text="Not entered, so not looked at")
    cautions = serializers.ListField(child=serializers.CharField())


class TaskLinesOut(serializers.Serializer):
    told = serializers.ListField(source="proposed.told", child=serializers.CharField())
    notes = serializers.ListField(source="proposed.notes", child=serializers.CharField())
    offers = OfferOut(many=True)
    refused = serializers.ListField(child=serializers.CharField())


class NextDoorOut(serializers.Serializer):
    seen = serializers.ListField(child=serializers.CharField(), help_text="Their lines on the common wall line")
    notes = serializers.ListField(child=serializers.CharField())
    offers = OfferOut(many=True)


def _done(do):
    """What it gives. Raises CannotBeDone in the words of the page."""
    try:
        return do()
    except (*REFUSED, TooMany, framing.NotOffered) as refused:
        raise CannotBeDone(str(refused)) from refused


def _layout_of(room, draft):
    return lay_out(inputs_of(room, draft))


def _usual(form_class, tape):
    return {name: as_typed(value, tape) for name, value in form_class.start(tape).items()}


class FramingToSuit(ApiView):
    pagination_class = None
    questions = tuple(FramingForm.base_fields)

    @extend_schema(operation_id="framing_to_suit", parameters=parameters(FramingForm), responses=FramingToSuitOut)
    def get(self, request, room_id):
        """Framing that is still to be laid, put where it misses the marks."""
        room = room_of(request.shop, room_id)
        tape, can = room.job.tape, framing.can_be_laid(room)
        said = answered(self, FramingForm, start=_usual(FramingForm, tape), tape=tape).cleaned_data
        offers = ()
        if can:
            offers = _done(
                lambda: framing.framing_offers(
                    room, _layout_of(room, draft_of(room)), said["width"], said["spacing"], drawn=False
                )
            )
        cautions = ceiling_systems()[room.ceiling_system].cautions
        told = {"can_be_laid": can, "cautions": list(cautions), "offers": offers}
        return Response(FramingToSuitOut(told).data)

    @extend_schema(
        operation_id="take_framing", request=FRAMING.schema(defaults=("width",)), responses=CeilingOut
    )
    def post(self, request, room_id):
        """Take one of the offers as the room's framing. If-Match: the ceiling's ETag."""
        room = room_of(request.shop, room_id)
        tape, ceiling = room.job.tape, ceiling_of(room)
        seen = self.seen_version(ceiling, ceiling_told(room))
        said = FRAMING.fill(request.data, start=FramingForm.start(tape), version=seen, tape=tape).cleaned_data
        told = {name: said[name] for name in ("width", "spacing", "depth")}
        try:
            _done(
                lambda: framing.take_framing(
                    room, _layout_of(room, draft_of(room)), seen, said["key"], **told, by=request.member
                )
            )
        except StaleVersion as stale:
            raise Stale(request.data, ceiling_told(room), etag(stale.theirs)) from stale
        stored = ceiling_of(room_of(request.shop, room_id))
        return self.told(stored, ceiling_told(room_of(request.shop, room_id)))


class Lid(ApiView):
    pagination_class = None
    questions = tuple(BoxForm.base_fields)

    @extend_schema(operation_id="lid", parameters=parameters(BoxForm), responses=LidOut)
    def get(self, request, room_id):
        """An isolated lid's holes: how many there are, and whether a backer box over each still fits."""
        room = room_of(request.shop, room_id)
        tape = room.job.tape
        said = answered(self, BoxForm, start=_usual(BoxForm, tape), tape=tape).cleaned_data
        page = _done(lambda: lid_page(room, _layout_of(room, draft_of(room)), said["wall"], said["inside"]))
        told = {name: getattr(page, name) for name in ("holes", "boxes", "marks", "unknown", "cautions")}
        return Response(LidOut(told | {"isolated": is_isolated(room)}, context={"tape": tape}).data)


class Hold(ApiView):
    """Takes what was offered into the draft, worked out anew."""

    pagination_class = None

    def held(self, room, body, offers_of, **form_kwargs):
        """offers_of(draft, what was asked)."""
        with from_the_draft(self, room) as (draft, seen):
            asked, said = self._filled(body, seen, **form_kwargs)
            offers = _done(lambda: offers_of(draft, asked))
            chosen = next((one for one in offers if one.key == said["key"]), None)
            if chosen is None:
                detail = "That is not offered: the room or its numbers changed. Read the offers."
                raise Refused([wrong(("key",), detail)])
            told = {"kind": chosen.kind, "words": chosen.words, "cost": "", "reason": said["reason"]}
            _done(lambda: take_way(draft, seen, chosen.change, by=self.request.member, **told))
        return told_draft(self, room)

    def _filled(self, body, seen, **form_kwargs):
        """(what was asked, which offer and why). Raises Refused with what is wrong in either."""
        given = self.request.data
        if not isinstance(given, dict):
            raise Refused([wrong((), "Send one JSON object.")])
        parts, errors = [], []
        for one, names, more in ((body, given.keys() - {*OFFER_OF}, form_kwargs), (HOLD, {*OFFER_OF} & {*given}, {})):
            try:
                sent = {name: given[name] for name in given if name in names}
                parts.append(one.fill(sent, version=seen, **more).cleaned_data)
            except Refused as refused:
                errors += refused.more["errors"]
        if errors:
            raise Refused(errors)
        return parts


def _rule(key, where):
    rule = TASKS.get(key) if isinstance(key, str) else None
    if rule is None:
        raise Refused([{**where, "detail": f"One of: {', '.join(TASKS)}.", "code": "unknown"}])
    return rule


class TaskLines(Hold):
    questions = tuple(TaskForm.base_fields)

    @extend_schema(
        operation_id="task_lines", parameters=parameters(TaskForm, asked=("task",)), responses=TaskLinesOut
    )
    def get(self, request, room_id):
        """Lines of lights over a task under the ceiling: what is proposed, and what may be held of it."""
        room = room_of(request.shop, room_id)
        rule = _rule(request.query_params.get("task", ""), {"parameter": "task"})
        form = answered(self, TaskForm, task=rule.key, tape=room.job.tape, walls=walls_of(room))
        page = _done(
            lambda: tasks.task_page(room, _layout_of(room, draft_of(room)), form.cleaned_data, drawn=False)
        )
        return Response(TaskLinesOut(page).data)

    @extend_schema(operation_id="hold_task", request=HoldTaskIn, responses=DraftOut)
    def post(self, request, room_id):
        """Hold one of the offers: what was asked goes along. If-Match: the draft's ETag."""
        room = room_of(request.shop, room_id)
        given = request.data if isinstance(request.data, dict) else {}
        rule = _rule(given.get("task"), {"pointer": "/task"})

        def offers(draft, asked):
            return tasks.task_page(room, _layout_of(room, draft), asked, drawn=False).offers

        return self.held(room, TASK, offers, task=rule.key, tape=room.job.tape, walls=walls_of(room))


class NextDoor(Hold):
    questions = tuple(NextDoorForm.base_fields)

    @extend_schema(
        operation_id="next_door",
        parameters=parameters(NextDoorForm, asked=tuple(NextDoorForm.base_fields)),
        responses=NextDoorOut,
    )
    def get(self, request, room_id):
        """Lines of the room next door that can be seen through an opening, and what may be held of them here."""
        room = room_of(request.shop, room_id)
        form = answered(self, lambda data, **told: next_door_form(room, data))
        page = _done(lambda: next_door_of(room, draft_of(room), form.cleaned_data, drawn=False))
        return Response(NextDoorOut(page).data)

    @extend_schema(operation_id="hold_next_door", request=HoldNextDoorIn, responses=DraftOut)
    def post(self, request, room_id):
        """Hold one of the offers: what was asked goes along. If-Match: the draft's ETag."""
        room = room_of(request.shop, room_id)

        def offers(draft, asked):
            return next_door_of(room, draft, asked, drawn=False).offers

        rooms = room.job.rooms.exclude(pk=room.pk)
        return self.held(room, NEXT_DOOR, offers, rooms=rooms, tape=room.job.tape, walls=walls_of(room))


ROOM = "rooms/<int:room_id>/"

urlpatterns = [
    path(ROOM + "framing/", FramingToSuit.as_view(), name="framing_to_suit"),
    path(ROOM + "lid/", Lid.as_view(), name="lid"),
    path(ROOM + "task-lines/", TaskLines.as_view(), name="task_lines"),
    path(ROOM + "next-door/", NextDoor.as_view(), name="next_door"),
]
