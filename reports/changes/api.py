"""Change orders and field extras over the API: the same rights, forms and services as their pages."""

import json

from django.urls import path, reverse
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs.queries import job_of, room_of
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing, by_id, choice
from projects.platform.api.problems import CannotBeDone
from projects.platform.api.views import ApiView, Record
from reports.changes import forms, queries, services
from reports.changes.contents import contents_of, kept
from reports.changes.models import ChangeOrder, FieldExtra, State, new_once
from reports.changes.pricing import contract_of, price_of
from reports.changes.web import REFUSED


class ExtraBodyForm(forms.ExtraForm):
    """As on the phone, without photos and without a drawn signature."""

    photos = ink = on_paper = once = None


class SignBodyForm(forms.SignForm):
    ink = None


NEW = Body("ChangeOrderBody", forms.NewChangeForm)
EXTRA = Body("FieldExtraBody", ExtraBodyForm)
SIGNED = Body("SignedBody", SignBodyForm)
EXTRA_BODY = EXTRA.schema()


class ChangeRow(Record):
    class Meta:
        model = ChangeOrder
        fields = (
            "id", "job", "number", "title", "reason", "asked_by", "state", "price", "days", "verbal_name",
            "verbal_on", "sent_at", "signed_name", "signed_on", "closed_at", "closed_why", "created_at", "version",
        )  # fmt: skip
        read_only_fields = fields


class ChangeOut(ChangeRow):
    """Priced: as it would be sent now while it is a draft, word for word once it was sent."""

    contents = serializers.SerializerMethodField()

    class Meta(ChangeRow.Meta):
        fields = (*ChangeRow.Meta.fields, "contents")
        read_only_fields = fields

    def get_contents(self, change) -> dict | None:
        if not change.is_draft:
            return kept(change) if change.contents else None
        return json.loads(json.dumps(contents_of(change, price_of(change))))


class ContractSumOut(serializers.Serializer):
    """bid + approved = sum; bid and sum are null while no bid is accepted."""

    bid = serializers.DecimalField(13, 2, allow_null=True)
    approved = serializers.DecimalField(13, 2)
    waiting = serializers.DecimalField(13, 2)
    sum = serializers.DecimalField(13, 2, allow_null=True)


class ExtraOut(Record):
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)
    photos = serializers.SerializerMethodField()

    class Meta:
        model = FieldExtra
        fields = (
            "id", "job", "room", "words", "hours", "material", "asked_by", "signed_name", "on_paper", "by", "at",
            "change", "closed_why", "photos", "version",
        )  # fmt: skip
        read_only_fields = fields

    def get_photos(self, extra) -> list[str]:
        return [reverse("extra_photo", args=[extra.pk, photo.pk]) for photo in extra.photos.all()]


class Refusing(ApiView):
    """What can't be done, or was altered, is said in words."""

    def handle_exception(self, exc):
        return super().handle_exception(CannotBeDone(str(exc)) if isinstance(exc, REFUSED) else exc)


class JobChanges(Refusing):
    listing = Listing(
        ChangeOrder,
        filters={"state": choice("state", State.values)},
        ordering=("number", "updated_at"),
        search=("title", "asked_by"),
    )

    @extend_schema(operation_id="job_changes", responses=ChangeRow(many=True))
    def get(self, request, job_id):
        """A job's change orders, the newest first."""
        job = job_of(request.shop, job_id)
        return self.paged(job.changes.defer("contents", "ink").order_by("-number"), ChangeRow)

    @extend_schema(operation_id="open_change", request=NEW.schema(), responses={201: ChangeRow})
    def post(self, request, job_id):
        """Open an empty draft under the job's next number."""
        job = job_of(request.shop, job_id)
        change = services.open_change(job, request.member, **NEW.fill(request.data).cleaned_data)
        where = reverse("api:change", args=[change.pk])
        return self.told(change, ChangeRow(change).data, status=201, headers={"Location": where})


class JobChangesFromLayouts(Refusing):
    pagination_class = None

    @extend_schema(operation_id="change_from_layouts", request=None, responses={201: ChangeRow})
    def post(self, request, job_id):
        """Open a draft of every room whose layout is not the contract's."""
        job = job_of(request.shop, job_id)
        pairs = queries.changed_since(job, contract_of(job))
        change = services.open_from_layouts(job, pairs, request.member)
        where = reverse("api:change", args=[change.pk])
        return self.told(change, ChangeRow(change).data, status=201, headers={"Location": where})


class JobContractSum(Refusing):
    pagination_class = None

    @extend_schema(operation_id="contract_sum", responses=ContractSumOut)
    def get(self, request, job_id):
        """The accepted bid and what was signed since."""
        job = job_of(request.shop, job_id)
        return Response(ContractSumOut(queries.contract_sum(job, contract_of(job).bid)).data)


class ChangeView(Refusing):
    @extend_schema(operation_id="change", responses=ChangeOut)
    def get(self, request, change_id):
        """One change order with its lines and its sum."""
        found = queries.change_of(request.shop, change_id)
        return self.told(found, ChangeOut(found).data)


class SendChange(Refusing):
    pagination_class = None

    @extend_schema(operation_id="send_change", request=None, responses=ChangeRow)
    def post(self, request, change_id):
        """Send a draft: what is in it stays as it is."""
        found = queries.change_of(request.shop, change_id)
        return Response(ChangeRow(services.send(found, request.member)).data)


class ApproveChange(Refusing):
    pagination_class = None

    @extend_schema(operation_id="approve_change", request=SIGNED.schema(), responses=ChangeRow)
    def post(self, request, change_id):
        """It was signed: by whom, and when. Said twice, it is signed once."""
        found = queries.change_of(request.shop, change_id)
        given = SIGNED.fill(request.data).cleaned_data
        return Response(ChangeRow(services.approve(found, request.member, **given)).data)


class Extras(Refusing):
    listing = Listing(
        FieldExtra,
        filters={"job": by_id("job_id"), "room": by_id("room_id")},
        ordering=("updated_at",),
        search=("words",),
    )

    @extend_schema(operation_id="extras", responses=ExtraOut(many=True))
    def get(self, request):
        """What the field wrote, the newest first."""
        rows = FieldExtra.objects.of(request.shop).filter(job__trashed_at=None).defer("ink")
        rows = rows.select_related("by__user").prefetch_related("photos")
        return self.paged(rows.order_by("-pk"), ExtraOut)


class Writing(Refusing):
    pagination_class = None

    def written(self, request, job, room=None):
        given = EXTRA.fill(request.data).cleaned_data
        extra = services.write_extra(job, request.member, room=room, once=new_once(), **given)
        where = reverse("api:extra", args=[extra.pk])
        return self.told(extra, ExtraOut(extra).data, status=201, headers={"Location": where})


class JobExtras(Writing):
    @extend_schema(operation_id="write_extra", request=EXTRA_BODY, responses={201: ExtraOut})
    def post(self, request, job_id):
        """Write down what was asked for on site. Photos and a drawn signature are for the phone's page."""
        return self.written(request, job_of(request.shop, job_id))


class RoomExtras(Writing):
    @extend_schema(operation_id="write_room_extra", request=EXTRA_BODY, responses={201: ExtraOut})
    def post(self, request, room_id):
        """Write down what was asked for in a room."""
        room = room_of(request.shop, room_id)
        return self.written(request, room.job, room)


class ExtraView(Refusing):
    @extend_schema(operation_id="extra", responses=ExtraOut)
    def get(self, request, extra_id):
        """One field extra."""
        found = queries.extra_of(request.shop, extra_id)
        return self.told(found, ExtraOut(found).data)


urlpatterns = [
    path("jobs/<int:job_id>/changes/", JobChanges.as_view(), name="job_changes"),
    path("jobs/<int:job_id>/changes/from-layouts/", JobChangesFromLayouts.as_view(), name="change_from_layouts"),
    path("jobs/<int:job_id>/contract-sum/", JobContractSum.as_view(), name="contract_sum"),
    path("changes/<int:change_id>/", ChangeView.as_view(), name="change"),
    path("changes/<int:change_id>/send/", SendChange.as_view(), name="send_change"),
    path("changes/<int:change_id>/approve/", ApproveChange.as_view(), name="approve_change"),
    path("extras/", Extras.as_view(), name="extras"),
    path("jobs/<int:job_id>/extras/", JobExtras.as_view(), name="job_extras"),
    path("rooms/<int:room_id>/extras/", RoomExtras.as_view(), name="room_extras"),
    path("extras/<int:extra_id>/", ExtraView.as_view(), name="extra"),
]
