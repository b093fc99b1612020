"""Material over the API, as it moves: orders of several lines, what came, what lies where."""

from django import forms
from django.http import Http404
from django.urls import path, reverse
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs.queries import job_of
from projects.platform.api.bodies import ID, Body
from projects.platform.api.lists import Listing, choice
from projects.platform.api.problems import Refused
from projects.platform.api.rows import Rows, wrong
from projects.platform.api.views import ApiView, RecordView
from projects.platform.forms import NameFormField, TapeForm
from reports.purchasing import queries, services
from reports.purchasing.api import SLIP, MaterialView, MovementOut, OrderLineOut, OrderOut, PlacesOut
from reports.purchasing.forms import CarryForm, PromisedField, PromiseForm, RowsForm
from reports.purchasing.models import MOST, Kind, Movement, OrderLine, Place
from reports.purchasing.services import MOST_LINES, Item

BIGGEST = 2**63 - 1


class HeadForm(TapeForm):
    slip = forms.CharField(max_length=36, label=SLIP)
    note = RowsForm.base_fields["note"]
    clean_slip = RowsForm.clean_slip


class OrderHeadForm(HeadForm):
    from_whom = NameFormField(max_length=120, label="From whom")
    promised_on = PromisedField()


class OrderRowForm(TapeForm):
    """One of the two: a line of the job's material, or something else by its name."""

    key = forms.CharField(max_length=120, required=False, label="The line's key, from the job's material")
    name = NameFormField(max_length=110, required=False, label="Or something else, by its name")
    quantity = forms.IntegerField(min_value=1, max_value=MOST)

    def clean(self):
        said = super().clean()
        if bool(said.get("key")) == bool(said.get("name")) and not self.errors:
            raise forms.ValidationError("Give a key or a name, one of them.")
        return said


class LineRowForm(TapeForm):
    line = forms.IntegerField(min_value=1, max_value=BIGGEST, label="The line's id")
    quantity = forms.IntegerField(min_value=1, max_value=MOST)


class PlacedRowForm(LineRowForm):
    place = forms.ChoiceField(choices=Place.choices)


class CarriedForm(CarryForm):
    def __init__(self, data=None, *, items=(), **kwargs):
        super().__init__(items, data, **kwargs)


def slipped(form):
    """Its boxes, for the description: the slip, hidden on the page, says what it is for."""
    form.fields["slip"].label = SLIP
    return form.fields


HEAD = Body("SlipBody", HeadForm)
ORDER_HEAD = Body("MaterialOrderBody", OrderHeadForm)
ORDER_ROW = Body("MaterialOrderLineBody", OrderRowForm)
LINE_ROW = Body("MaterialLineBody", LineRowForm, kinds={"line": ID})
PLACED_ROW = Body("MaterialPlacedBody", PlacedRowForm, kinds={"line": ID})
PROMISE = Body("PromiseBody", PromiseForm)
CARRY = Body("CarryBody", CarriedForm, example=lambda: slipped(CarriedForm()))


def whole(name, head, row):
    """A body's shape: what stands at its head, and rows of one shape."""
    lines = row(many=True, max_length=MOST_LINES)
    return type(name, (head.schema(defaults=("note", "promised_on")),), {"lines": lines})


PLACED = PLACED_ROW.schema()
ORDER_BODY = whole("MaterialOrderBody", ORDER_HEAD, ORDER_ROW.schema(defaults=("key", "name")))
RECEIPT_BODY = whole("ReceiptsBody", HEAD, PLACED)
NOT_COMING_BODY = whole("NotComingBody", HEAD, LINE_ROW.schema())


def filled(sent, head, row):
    """(what stands at the head, [(place in the list, a row's values)]). Raises Refused with all that is wrong."""
    if not isinstance(sent, dict):
        raise Refused([wrong((), "Send one JSON object.")])
    found = Rows()
    form = found.form(head, {name: value for name, value in sent.items() if name != "lines"}, ())
    if not isinstance(sent.get("lines"), list) or not sent["lines"]:
        found.errors.append(wrong(("lines",), "Give a list of one line at least.", "required"))
    rows = found.forms(row, sent.get("lines"), ("lines",), MOST_LINES)
    found.refuse()
    return form.cleaned_data, [one.cleaned_data for one in rows]


def booked(rows, change):
    """What the service gives; each row that can't be taken is named by its place. Raises Refused."""
    if len({row["line"] for row in rows}) < len(rows):
        raise Refused([wrong(("lines",), "A line stands twice. Give each once.", "twice")])
    try:
        return change([(row["line"], row["quantity"], row.get("place", "")) for row in rows])
    except services.Refused as refused:
        at = {row["line"]: n for n, row in enumerate(rows)}
        errors = [wrong(("lines", at[pk], "quantity"), str(said), "too_much") for pk, said in refused.errors.items()]
        raise Refused(errors) from refused


# As it is read


class OrderLineNowOut(OrderLineOut):
    received = serializers.IntegerField()
    not_coming = serializers.IntegerField()
    short = serializers.IntegerField(help_text="Still to come")

    class Meta(OrderLineOut.Meta):
        fields = (*OrderLineOut.Meta.fields, "received", "not_coming", "short")
        read_only_fields = fields


class OrderNowOut(OrderOut):
    lines = serializers.SerializerMethodField()

    def get_lines(self, order) -> list[dict]:
        return OrderLineNowOut(self.context["lines"][order.pk], many=True).data


OrderNowOut.get_lines.__annotations__["return"] = OrderLineNowOut(many=True)


class StockMovementOut(MovementOut):
    """undone: it was taken back. undoes: the movement this one takes back."""

    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)
    undone = serializers.SerializerMethodField()

    class Meta(MovementOut.Meta):
        fields = (*MovementOut.Meta.fields, "room", "order_line", "undoes", "undone", "by")
        read_only_fields = fields

    def get_undone(self, movement) -> bool:
        return hasattr(movement, "undone_by")


class StockOut(serializers.Serializer):
    key = serializers.CharField()
    name = serializers.CharField()
    unit = serializers.CharField()
    on_hand = serializers.IntegerField()
    lies = PlacesOut()
    in_rooms = serializers.IntegerField()


# Orders


class OrderLines(MaterialView):
    @extend_schema(operation_id="order_several", request=ORDER_BODY, responses={201: OrderOut})
    def post(self, request, job_id):
        """Order several lines at once, of the job's material or by name. The same slip again gives the same order."""
        job = job_of(request.shop, job_id)
        head, rows = filled(request.data, ORDER_HEAD, ORDER_ROW)
        lines = {line.key: line for line in queries.job_material(job).lines}
        items, errors = [], []
        for n, row in enumerate(rows):
            if row["name"]:
                items.append(Item(f"{queries.OWN}{row['name'].lower()}", row["name"], "each", row["quantity"]))
            elif row["key"] in lines:
                line = lines[row["key"]]
                items.append(Item(line.key, line.name, line.unit, row["quantity"]))
            else:
                errors.append(wrong(("lines", n, "key"), "Not a line of this job's material.", "unknown"))
        if errors:
            raise Refused(errors)
        order = services.place_order(job, items, by=request.member, **head)
        where = reverse("api:material_order", args=[job.pk, order.number])
        return Response(OrderOut(order).data, status=201, headers={"Location": where})


class MaterialOrder(MaterialView):
    pagination_class = None

    @extend_schema(operation_id="material_order", responses=OrderNowOut)
    def get(self, request, job_id, order_number):
        """One order, and what became of its lines."""
        order = queries.order_of(job_of(request.shop, job_id), order_number)
        return Response(_order(order))


def _order(order):
    lines = []
    for now in queries.lines_now(order.shop, [order])[order.pk]:
        now.line.received, now.line.not_coming, now.line.short = now.fate.received, now.fate.not_coming, now.short
        lines.append(now.line)
    return OrderNowOut(order, context={"lines": {order.pk: lines}}).data


class _Book(MaterialView):
    pagination_class = None

    def entered(self, request, job_id, order_number, row, **options):
        order = queries.order_of(job_of(request.shop, job_id), order_number)
        head, rows = filled(request.data, HEAD, row)
        made = booked(rows, lambda some: services.receive(order, some, by=request.member, **head, **options))
        return Response(MovementOut(made, many=True).data, status=201)


class OrderReceipts(_Book):
    @extend_schema(operation_id="receive_order", request=RECEIPT_BODY, responses={201: MovementOut(many=True)})
    def post(self, request, job_id, order_number):
        """Book what came of an order, all of it or none. The same slip again answers with an empty list."""
        return self.entered(request, job_id, order_number, PLACED_ROW)


class OrderNotComing(_Book):
    @extend_schema(operation_id="give_up_material", request=NOT_COMING_BODY, responses={201: MovementOut(many=True)})
    def post(self, request, job_id, order_number):
        """Give up so much of an order's lines: it is not coming any more."""
        return self.entered(request, job_id, order_number, LINE_ROW, not_coming=True)


class OrderLineView(RecordView):
    pagination_class = None
    out = OrderLineOut

    @extend_schema(operation_id="order_line", responses=OrderLineOut)
    def get(self, request, line_id):
        """One line of an order."""
        return self.answer(_line(request.shop, line_id))

    @extend_schema(operation_id="promise_material", request=PROMISE.schema(partial=True), responses=OrderLineOut)
    def patch(self, request, line_id):
        """Move the day a line is promised for."""
        line = _line(request.shop, line_id)
        return self.edit(
            line,
            PROMISE,
            lambda form, seen: services.promise(line, seen, form.cleaned_data["promised_on"]),
            start={"promised_on": line.promised_on},
        )


def _line(shop, line_id):
    found = OrderLine.objects.of(shop).filter(pk=line_id, order__job__trashed_at=None).first()
    if found is None:
        raise Http404
    return found


# Where it lies


class JobStock(ApiView):
    listing = Listing()

    @extend_schema(operation_id="job_stock", responses=StockOut(many=True))
    def get(self, request, job_id):
        """What of a job's material lies where."""
        job = job_of(request.shop, job_id)
        names = queries.names_of(job)
        rows = [
            {"key": key, "name": names[key][0], "unit": names[key][1], "on_hand": lies.on_hand, "lies": lies.places,
             "in_rooms": lies.in_rooms}
            for key, lies in services.lies_of(job).items()
            if lies.on_hand
        ]  # fmt: skip
        return self.paged(sorted(rows, key=lambda row: (row["name"], row["key"])), StockOut)


class Movements(MaterialView):
    listing = Listing(Movement, filters={"kind": choice("kind", Kind.values)}, search=("name", "note"))

    @extend_schema(operation_id="movements", responses=StockMovementOut(many=True))
    def get(self, request, job_id):
        """Everything that moved on a job, the latest first."""
        return self.paged(queries.movements_of(job_of(request.shop, job_id)), StockMovementOut)

    @extend_schema(
        operation_id="carry_material", request=CARRY.schema(defaults=("lies", "note", "slip")), responses={201: None}
    )
    def post(self, request, job_id):
        """Carry an item to another place, or to the shop's shelf of leftovers."""
        job = job_of(request.shop, job_id)
        names = queries.names_of(job)
        items = [(key, names[key][0]) for key, lies in services.lies_of(job).items() if lies.at_hand]
        said = CARRY.fill(request.data, items=items).cleaned_data
        item = Item(said["item"], *names[said["item"]], said["quantity"])
        about = {"slip": said["slip"], "by": request.member, "note": said["note"]}
        if said["went_to"] == CarryForm.SHELF:
            services.leave_over(job, item, said["came_from"], lies=said["lies"], **about)
        else:
            services.move(job, item, said["came_from"], said["went_to"], **about)
        return Response(status=201, headers={"Location": reverse("api:movements", args=[job.pk])})


class TakeBackMovement(MaterialView):
    pagination_class = None

    @extend_schema(
        operation_id="take_back_movement", request=HEAD.schema(defaults=("note",)), responses=StockMovementOut
    )
    def post(self, request, movement_id):
        """Undo a movement by its opposite, once: both stay in the ledger."""
        rows = Movement.objects.of(request.shop).filter(job__trashed_at=None)
        movement = rows.filter(pk=movement_id).select_related("job").first()
        if movement is None:
            raise Http404
        said = HEAD.fill(request.data).cleaned_data
        services.take_back(movement, slip=said["slip"], note=said["note"], by=request.member)
        return Response(StockMovementOut(queries.movements_of(movement.job).get(pk=movement.pk)).data)


JOB = "jobs/<int:job_id>/"
ORDER = JOB + "orders/<int:order_number>/"

urlpatterns = [
    path(JOB + "orders/several/", OrderLines.as_view(), name="order_several"),
    path(ORDER, MaterialOrder.as_view(), name="material_order"),
    path(ORDER + "receipts/", OrderReceipts.as_view(), name="order_receipts"),
    path(ORDER + "not-coming/", OrderNotComing.as_view(), name="order_not_coming"),
    path("order-lines/<int:line_id>/", OrderLineView.as_view(), name="order_line"),
    path(JOB + "stock/", JobStock.as_view(), name="job_stock"),
    path(JOB + "movements/", Movements.as_view(), name="movements"),
    path("movements/<int:movement_id>/take-back/", TakeBackMovement.as_view(), name="take_back_movement"),
]
