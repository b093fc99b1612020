"""What happens beside a room's stages, over the API: cancelled, brought back, looked at again, and the list of it."""

from django import forms
from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs.queries import room_at
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing
from projects.platform.api.views import ApiView, Record
from projects.stages import queries, services
from projects.stages.api import NoteHere, done
from projects.stages.forms import ReasonForm
from projects.stages.models import SideEvent


class NothingForm(forms.Form):
    """A body with nothing in it."""


WHY = Body("CancelRoomBody", ReasonForm)
NOTE = Body("BringBackBody", NoteHere)
NOTHING = Body("LookAgainBody", NothingForm)


class StandsOut(serializers.Serializer):
    cancelled = serializers.BooleanField()
    stage = serializers.IntegerField()
    held_up = serializers.CharField(allow_blank=True)


class LookedOut(serializers.Serializer):
    met = serializers.IntegerField(help_text="Of what was passed: met now, and closed")
    still_open = serializers.IntegerField()


class AsideOut(Record):
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = SideEvent
        fields = ("id", "what", "who", "why", "by", "at")
        read_only_fields = fields


class CancelRoom(ApiView):
    @extend_schema(operation_id="cancel_room", request=WHY.schema(), responses=StandsOut)
    def post(self, request, room_id):
        """Cancel the room: it is left out of what is to do, and keeps all it has."""
        room = room_at(request.shop, room_id)
        why = WHY.fill(request.data).cleaned_data["why"]
        done(lambda: services.cancel(room, why=why, by=request.member))
        return Response(StandsOut(room_at(request.shop, room_id)).data)


class BringBackRoom(ApiView):
    @extend_schema(operation_id="bring_back_room", request=NOTE.schema(), responses=StandsOut)
    def post(self, request, room_id):
        """Bring a cancelled room back, at the stage where it was."""
        room = room_at(request.shop, room_id)
        note = NOTE.fill(request.data).cleaned_data["note"]
        done(lambda: services.bring_back(room, by=request.member, note=note))
        return Response(StandsOut(room_at(request.shop, room_id)).data)


class LookAgain(ApiView):
    @extend_schema(operation_id="look_again", request=NOTHING.schema(), responses=LookedOut)
    def post(self, request, room_id):
        """Ask the guards anew of what was passed: what is met by now is closed."""
        room = room_at(request.shop, room_id)
        NOTHING.fill(request.data)
        met = services.look_again(room, by=request.member)
        return Response(LookedOut({"met": met, "still_open": queries.open_passes(room).count()}).data)


class Asides(ApiView):
    listing = Listing(SideEvent, ordering=("at",))

    @extend_schema(operation_id="stage_asides", responses=AsideOut(many=True))
    def get(self, request, room_id):
        """When the room was held up, went on, was cancelled or brought back, the latest first."""
        room = room_at(request.shop, room_id)
        rows = SideEvent.objects.of(request.shop).filter(room=room).select_related("by__user")
        return self.paged(rows.order_by("-at", "-pk"), AsideOut)


ROOM = "rooms/<int:room_id>/"

urlpatterns = [
    path(ROOM + "cancel/", CancelRoom.as_view(), name="cancel_room"),
    path(ROOM + "bring-back/", BringBackRoom.as_view(), name="bring_back_room"),
    path(ROOM + "look-again/", LookAgain.as_view(), name="look_again"),
    path(ROOM + "stage-asides/", Asides.as_view(), name="stage_asides"),
]
