"""A job's material over the API: what to buy, orders, what came, what a room has, leftovers. Never a price."""

from django import forms
from django.http import Http404
from django.urls import path, reverse
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.services import NotAsIssued
from projects.jobs.queries import job_of, room_of
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing
from projects.platform.api.problems import CannotBeDone
from projects.platform.api.problems import Refused as BodyRefused
from projects.platform.api.views import ApiView, Record
from projects.platform.forms import NameFormField, NoteFormField, TapeForm
from reports.purchasing import queries, services
from reports.purchasing.forms import PromisedField, RowsForm
from reports.purchasing.models import MOST, Movement, Order, OrderLine, Place
from reports.purchasing.services import Item, NotDone, Refused

SLIP = "A UUID of your own making. The same again, after a lost answer, books nothing twice."


class _SlipForm(TapeForm):
    slip = forms.CharField(max_length=36, label=SLIP)
    note = NoteFormField(required=False, max_length=400)
    clean_slip = RowsForm.clean_slip


class OrderHere(_SlipForm):
    key = forms.CharField(max_length=120, label="The line's key, from the job's material")
    quantity = forms.IntegerField(min_value=1, max_value=MOST)
    from_whom = NameFormField(max_length=120)
    promised_on = PromisedField()


class ReceiptHere(_SlipForm):
    quantity = forms.IntegerField(min_value=1, max_value=MOST)
    place = forms.ChoiceField(choices=Place.choices)


ORDER = Body("OrderBody", OrderHere)
RECEIPT = Body("ReceiptBody", ReceiptHere)
MAY_BE_LEFT_OUT = {"note": "", "promised_on": None}


class PlacesOut(serializers.Serializer):
    shop = serializers.IntegerField()
    van = serializers.IntegerField()
    site = serializers.IntegerField()


class ToBuyOut(serializers.Serializer):
    key = serializers.CharField()
    name = serializers.CharField()
    unit = serializers.CharField()
    need = serializers.IntegerField(source="standing.need")
    on_hand = serializers.IntegerField(source="standing.lies.on_hand")
    lies = PlacesOut(source="standing.lies.places")
    in_rooms = serializers.IntegerField(source="standing.lies.in_rooms")
    on_order = serializers.IntegerField(source="standing.on_order")
    to_buy = serializers.IntegerField(source="standing.to_buy")
    over = serializers.IntegerField(source="standing.over")
    promised = serializers.DateField(allow_null=True)
    shelf = serializers.IntegerField()


class RoomNeedOut(serializers.Serializer):
    key = serializers.CharField()
    name = serializers.CharField()
    unit = serializers.CharField()
    need = serializers.IntegerField()
    here = serializers.IntegerField()
    lies = PlacesOut(source="lies.places")
    short = serializers.IntegerField(source="lacks")


class RoomMaterialOut(serializers.Serializer):
    on_hand = serializers.BooleanField()
    lines = RoomNeedOut(many=True)


class OrderLineOut(Record):
    class Meta:
        model = OrderLine
        fields = ("id", "key", "name", "unit", "quantity", "promised_on", "version")
        read_only_fields = fields


class OrderOut(Record):
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)
    lines = OrderLineOut(many=True)

    class Meta:
        model = Order
        fields = ("id", "number", "from_whom", "note", "by", "at", "lines")
        read_only_fields = fields


class MovementOut(Record):
    class Meta:
        model = Movement
        fields = ("id", "kind", "key", "name", "unit", "quantity", "came_from", "went_to", "note", "at")
        read_only_fields = fields


class LeftoverOut(serializers.Serializer):
    key = serializers.CharField()
    name = serializers.CharField()
    unit = serializers.CharField()
    lies = serializers.CharField()
    quantity = serializers.IntegerField(source="n")


class MaterialView(ApiView):
    """What rests on a count; a revision that no longer comes out as issued is refused, not guessed."""

    def handle_exception(self, exc):
        return super().handle_exception(CannotBeDone(str(exc)) if isinstance(exc, (NotAsIssued, NotDone)) else exc)


class JobMaterial(MaterialView):
    listing = Listing()

    @extend_schema(operation_id="job_material", responses=ToBuyOut(many=True))
    def get(self, request, job_id):
        """To buy = need − on hand − on order, line by line, and where it lies."""
        return self.paged(list(queries.job_material(job_of(request.shop, job_id)).lines), ToBuyOut)


class JobOrders(MaterialView):
    listing = Listing(Order, ordering=("number", "at", "updated_at"), search=("from_whom", "note"))

    @extend_schema(operation_id="job_orders", responses=OrderOut(many=True))
    def get(self, request, job_id):
        """The job's orders, the newest first."""
        orders = queries.orders_of(job_of(request.shop, job_id)).prefetch_related("lines")
        return self.paged(orders, OrderOut)

    @extend_schema(
        operation_id="order_material", request=ORDER.schema(defaults=MAY_BE_LEFT_OUT), responses={201: OrderOut}
    )
    def post(self, request, job_id):
        """Order one line of the job's material."""
        job = job_of(request.shop, job_id)
        data = ORDER.fill(request.data).cleaned_data
        line = next((one for one in queries.job_material(job).lines if one.key == data["key"]), None)
        if line is None:
            raise BodyRefused([{"pointer": "/key", "detail": "Not a line of this job's material.", "code": "unknown"}])
        order = services.place_order(
            job, [Item(line.key, line.name, line.unit, data["quantity"])], from_whom=data["from_whom"],
            promised_on=data["promised_on"], note=data["note"], slip=data["slip"], by=request.member,
        )  # fmt: skip
        where = reverse("api:job_orders", args=[job.pk])
        return Response(OrderOut(order).data, status=201, headers={"Location": where})


class Receipts(MaterialView):
    @extend_schema(
        operation_id="receive_material",
        request=RECEIPT.schema(defaults={"note": ""}),
        responses={201: MovementOut(many=True)},
    )
    def post(self, request, line_id):
        """Book so much of an order's line as here. The same slip again answers with an empty list."""
        standing = OrderLine.objects.of(request.shop).filter(order__job__trashed_at=None)
        line = standing.filter(pk=line_id).select_related("order__job").first()
        if line is None:
            raise Http404
        data = RECEIPT.fill(request.data).cleaned_data
        try:
            booked = services.receive(
                line.order,
                [(line.pk, data["quantity"], data["place"])],
                slip=data["slip"],
                note=data["note"],
                by=request.member,
            )
        except Refused as refused:
            detail = refused.errors[line.pk]
            raise BodyRefused([{"pointer": "/quantity", "detail": detail, "code": "too_much"}]) from refused
        return Response(MovementOut(booked, many=True).data, status=201)


class RoomMaterial(MaterialView):
    @extend_schema(operation_id="room_material", responses=RoomMaterialOut)
    def get(self, request, room_id):
        """Whether a room's material is on hand, told from what was received and picked alone."""
        return Response(RoomMaterialOut(queries.room_material(room_of(request.shop, room_id))).data)


class Leftovers(ApiView):
    listing = Listing()

    @extend_schema(operation_id="leftovers", responses=LeftoverOut(many=True))
    def get(self, request):
        """What lies on the shop's shelves."""
        return self.paged(services.shelf(request.shop.pk), LeftoverOut)


urlpatterns = [
    path("jobs/<int:job_id>/material/", JobMaterial.as_view(), name="job_material"),
    path("jobs/<int:job_id>/orders/", JobOrders.as_view(), name="job_orders"),
    path("order-lines/<int:line_id>/receipts/", Receipts.as_view(), name="receipts"),
    path("rooms/<int:room_id>/material/", RoomMaterial.as_view(), name="room_material"),
    path("leftovers/", Leftovers.as_view(), name="leftovers"),
]
