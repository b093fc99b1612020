"""The field over the API: today's rooms, a room's note, what needs a look, and the phones. Entries come from phones."""

from django import forms
from django.http import Http404
from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs.queries import room_of
from projects.platform.api.bodies import ID, Body
from projects.platform.api.lists import Listing, choice
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import ApiView, Record, Stale, etag
from projects.platform.tenancy import StaleVersion
from reports.field import queries, services
from reports.field.entries import Conflict
from reports.field.entries import Refused as EntryRefused
from reports.field.models import EntryKept, Phone, SiteNote


class NoteForm(forms.Form):
    text = forms.CharField(required=False, max_length=4000, label="The note that lies in the room")


class SettleForm(forms.Form):
    entry = forms.IntegerField(min_value=1, max_value=2**63 - 1, label="The entry's id")
    how = forms.ChoiceField(choices=EntryKept.Settled.choices, label="What is to stand")
    seen = forms.IntegerField(min_value=0, max_value=2**31 - 1, label="The version that was looked at")


NOTE = Body("SiteNoteBody", NoteForm)
SETTLE = Body("SettleLookBody", SettleForm, kinds={"entry": ID})
SETTLE_BODY = SETTLE.schema()


class TodayRoomOut(serializers.Serializer):
    room = serializers.IntegerField(source="pk")
    name = serializers.CharField()
    level = serializers.CharField()
    job = serializers.IntegerField(source="job_id")
    job_number = serializers.CharField(source="job.number")
    stage = serializers.IntegerField()


class TodayOut(serializers.Serializer):
    """planned false: nobody planned this day, and these are rooms in the field."""

    planned = serializers.BooleanField()
    rooms = TodayRoomOut(many=True)


class SiteNoteOut(Record):
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = SiteNote
        fields = ("text", "by", "version")
        read_only_fields = fields


class LookOut(Record):
    """answer: with a conflict, both values as they stand (theirs, mine)."""

    by = serializers.CharField(source="member.user.name", read_only=True)
    data = serializers.DictField(read_only=True)
    answer = serializers.DictField(read_only=True)

    class Meta:
        model = EntryKept
        fields = ("id", "kind", "room", "room_name", "by", "data", "outcome", "words", "answer", "entered_at",
                  "settled_how", "settled_at", "version")  # fmt: skip
        read_only_fields = fields


class FieldPhoneOut(Record):
    """waiting: entries it had not sent by its last report. lost: what it had not sent when it was ended."""

    by = serializers.CharField(source="member.user.name", read_only=True)
    ended_by = serializers.CharField(source="ended_by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = Phone
        fields = ("id", "member", "by", "waiting", "waiting_since", "last_seen", "ended_at", "ended_by", "lost",
                  "version")  # fmt: skip
        read_only_fields = fields


class Today(ApiView):
    pagination_class = None

    @extend_schema(operation_id="rooms_today", responses=TodayOut)
    def get(self, request):
        """The rooms you are to work in today."""
        rooms, planned = queries.rooms_for(request.member)
        return Response(TodayOut({"planned": planned, "rooms": rooms}).data)


class SiteNoteView(ApiView):
    pagination_class = None

    @extend_schema(operation_id="site_note", responses=SiteNoteOut)
    def get(self, request, room_id):
        """The note that lies in a room for whoever comes next."""
        note = _note(room_of(request.shop, room_id))
        return self.told(note, SiteNoteOut(note).data)

    @extend_schema(operation_id="write_site_note", request=NOTE.schema(partial=True), responses=SiteNoteOut)
    def patch(self, request, room_id):
        """Write it anew, from the one that was read."""
        room = room_of(request.shop, room_id)
        note = _note(room)

        def write(form, seen):
            try:
                services.enter(request.member, room, "note", form.cleaned_data, seen, None)
            except Conflict as other:
                stored = _note(room)
                raise Stale(request.data, SiteNoteOut(stored).data, etag(stored)) from other
            except EntryRefused as refused:
                raise Refused([wrong(("text",), str(refused))]) from refused

        self.change(note, NOTE, lambda one: SiteNoteOut(one).data, write, start={"text": note.text})
        stored = _note(room)
        return self.told(stored, SiteNoteOut(stored).data)


def _note(room):
    """What lies there, or a note of nothing at version 0."""
    found = SiteNote.objects.of(room.shop_id).filter(room=room).select_related("by__user").first()
    return found or SiteNote(shop_id=room.shop_id, room=room, version=0)


class Looks(ApiView):
    listing = Listing(
        EntryKept,
        filters={"outcome": choice("outcome", ("conflict", "refused", "gone"))},
        search=("room_name", "words"),
    )

    @extend_schema(operation_id="looks", responses=LookOut(many=True))
    def get(self, request):
        """Entries from phones that could not be applied and nobody has looked at."""
        return self.paged(queries.looks_for(request.member).order_by("pk"), LookOut)

    @extend_schema(operation_id="settle_look", request=SETTLE_BODY, responses=LookOut)
    def post(self, request):
        """Say what is to stand: theirs, mine, both. One that still can't be applied shows both as they are."""
        said = SETTLE.fill(request.data).cleaned_data
        try:
            kept = queries.look_of(request.member, said["entry"])
        except Http404:
            raise Refused([wrong(("entry",), "There is no such entry.", "unknown")]) from None
        try:
            services.settle(kept, said["seen"], said["how"], by=request.member)
        except StaleVersion as stale:
            raise Stale(request.data, LookOut(stale.theirs).data, etag(stale.theirs)) from stale
        except services.NotAllowed as refused:
            raise CannotBeDone(str(refused) or "This entry is not yours to enter.") from refused
        return Response(LookOut(queries.look_of(request.member, kept.pk)).data)


class Phones(ApiView):
    listing = Listing(Phone, ordering=("last_seen",))

    @extend_schema(operation_id="field_phones", responses=FieldPhoneOut(many=True))
    def get(self, request):
        """The shop's phones, the last heard from first, and what each had not sent by its last report."""
        phones = Phone.objects.of(request.shop).select_related("member__user", "ended_by__user")
        return self.paged(phones, FieldPhoneOut)


class EndPhone(ApiView):
    pagination_class = None

    @extend_schema(operation_id="end_field_phone", request=None, responses=FieldPhoneOut)
    def post(self, request, phone_id):
        """From its next request on it is signed out. What it had not sent is stated as lost."""
        ended = services.end_phone(queries.phone_of(request.shop, phone_id), by=request.member)
        return Response(FieldPhoneOut(ended).data)


urlpatterns = [
    path("field/today/", Today.as_view(), name="rooms_today"),
    path("rooms/<int:room_id>/site-note/", SiteNoteView.as_view(), name="site_note"),
    path("field/looks/", Looks.as_view(), name="looks"),
    path("field/phones/", Phones.as_view(), name="field_phones"),
    path("field/phones/<int:phone_id>/end/", EndPhone.as_view(), name="end_field_phone"),
]
