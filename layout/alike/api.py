"""Rooms alike over the API: how each stands against its type, more of them, and changes handed on."""

from django import forms
from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.alike import queries, services
from layout.alike.forms import LONGEST, AlikeForm
from layout.alike.parts import PARTS
from layout.alike.services import MOST_AT_ONCE
from projects.jobs.api import RoomsOut, name_free
from projects.jobs.queries import room_of
from projects.platform.api.bodies import Body, Kind, Unfit
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import ApiView


def _lines(values, form):
    if not isinstance(values, list) or not all(isinstance(one, str) and "\n" not in one for one in values):
        raise Unfit("Give a list of names, each on one line.")
    return "\n".join(values)


NAMES = Kind(
    _lines,
    lambda box, options: serializers.ListField(
        child=serializers.CharField(max_length=LONGEST), max_length=MOST_AT_ONCE, **options
    ),
)


class HandOnForm(forms.Form):
    seen = forms.CharField(label="As the rooms were read", max_length=64)


class NothingForm(forms.Form):
    """A body with nothing in it."""


class PartsForm(forms.Form):
    parts = forms.MultipleChoiceField(choices=[(part.key, part.title) for part in PARTS])


def _keys(values, form):
    if not isinstance(values, list) or not all(isinstance(one, str) for one in values):
        raise Unfit("Give a list of the parts' keys.")
    return values


KEYS = Kind(
    _keys,
    lambda box, options: serializers.ListField(
        child=serializers.ChoiceField(choices=[part.key for part in PARTS]), max_length=len(PARTS), **options
    ),
)
MORE = Body("AlikeBody", AlikeForm, kinds={"names": NAMES})
HAND_ON = Body("HandOnBody", HandOnForm)
FOLLOW = Body("FollowTypeBody", PartsForm, kinds={"parts": KEYS})
ALONE = Body("StandAloneBody", NothingForm)


class AlikePartOut(serializers.Serializer):
    key = serializers.CharField()
    title = serializers.CharField()


class OfAKindOut(serializers.Serializer):
    room = serializers.IntegerField(source="room.pk")
    name = serializers.CharField(source="room.name")
    revision = serializers.IntegerField(source="number", allow_null=True)
    stands = serializers.DictField(child=serializers.ChoiceField(choices=[each.value for each in queries.Stands]))
    takes = serializers.BooleanField(help_text="Whether handing on changes it")


class FamilyOut(serializers.Serializer):
    type_room = serializers.IntegerField(source="type_room.pk")
    seen = serializers.CharField(help_text="Send it back to hand on: another one when anything here has changed")
    parts = serializers.SerializerMethodField()
    rooms = OfAKindOut(many=True)

    def get_parts(self, family) -> AlikePartOut(many=True):  # type: ignore[valid-type]
        return AlikePartOut(PARTS, many=True).data


class HandedOnOut(serializers.Serializer):
    changed = serializers.IntegerField(help_text="How many rooms took the change")


def _family(room):
    return FamilyOut(queries.family_of(queries.type_of(room))).data


class Alike(ApiView):
    pagination_class = None

    @extend_schema(operation_id="alike", responses=FamilyOut)
    def get(self, request, room_id):
        """The room's type, all rooms made from it, and where each differs or is behind."""
        return Response(_family(room_of(request.shop, room_id)))

    @extend_schema(operation_id="make_alike", request=MORE.schema(), responses={201: RoomsOut})
    def post(self, request, room_id):
        """More rooms like this one: so many, or one for each name. Each still has to be taped."""
        room = room_of(request.shop, room_id)
        told = MORE.fill(request.data, tape=room.job.tape).cleaned_data
        try:
            made = name_free(
                lambda: services.make_alike(
                    queries.type_of(room), times=told["times"] or 0, names=told["names"]
                )
            )
        except services.TooManyAlike as refused:
            said = f"That would be more than {queries.MOST_ALIKE} of one type. Make the rest from another room."
            raise Refused([wrong(("times",), said, "too_many")]) from refused
        return Response(RoomsOut({"rooms": made}).data, status=201)


class HandOn(ApiView):
    @extend_schema(operation_id="hand_on", request=HAND_ON.schema(), responses=HandedOnOut)
    def post(self, request, room_id):
        """Give every change of the type to the rooms that did not differ there: all of them, or none."""
        room = queries.type_of(room_of(request.shop, room_id))
        seen = HAND_ON.fill(request.data).cleaned_data["seen"]
        try:
            changed = services.hand_on(room, seen)
        except services.LookAgain as stale:
            raise CannotBeDone("A room was changed since these were read. Nothing was handed on: read anew.") from stale
        return Response(HandedOnOut({"changed": changed}).data)


class FollowType(ApiView):
    @extend_schema(operation_id="follow_type", request=FOLLOW.schema(), responses=FamilyOut)
    def post(self, request, room_id):
        """Give up what this room has of its own in these parts, and have its type's."""
        room = _made_from_another(room_of(request.shop, room_id))
        services.follow_again(room, set(FOLLOW.fill(request.data).cleaned_data["parts"]))
        return Response(_family(room))


class StandAlone(ApiView):
    @extend_schema(operation_id="stand_alone", request=ALONE.schema(), responses=FamilyOut)
    def post(self, request, room_id):
        """From now on no change of its type reaches this room."""
        room = _made_from_another(room_of(request.shop, room_id))
        ALONE.fill(request.data)
        return Response(_family(services.stand_alone(room)))


def _made_from_another(room):
    if room.type_room_id is None:
        raise CannotBeDone("This room was made from no other.")
    return room


ROOM = "rooms/<int:room_id>/alike/"

urlpatterns = [
    path(ROOM, Alike.as_view(), name="alike"),
    path(ROOM + "hand-on/", HandOn.as_view(), name="hand_on"),
    path(ROOM + "follow/", FollowType.as_view(), name="follow_type"),
    path(ROOM + "stand-alone/", StandAlone.as_view(), name="stand_alone"),
]
