"""Prices, rates, conditions and logged hours over the API: the same forms and services as the pages.

What costs money is behind "see prices"; hours and feet are the field's own and name none.
"""

from django.http import Http404
from django.urls import path, reverse
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs.queries import job_of, room_of
from projects.platform.api.bodies import Body
from projects.platform.api.lengths import LengthOut
from projects.platform.api.lists import Listing, day, text
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.views import ApiView, Record, RecordView, taken
from reports.prices import services
from reports.prices.forms import ChangeItemForm, ItemForm, LogForm, PriceForm, RatesForm
from reports.prices.hours_web import as_length, cables, entry_of, phase_at
from reports.prices.models import Item, JobRates, LoggedFeet, LoggedHours, Price
from reports.prices.queries import conditions_of, labor_book
from reports.prices.web import SHOWN, item_of, items_shown


class PriceItemOut(Record):
    class Meta:
        model = Item
        fields = ("id", "key", "name", "unit", "category", "taxable", "retired", "version", "updated_at")
        read_only_fields = fields


class PriceOut(Record):
    pieces = serializers.IntegerField(source="pack.pieces", read_only=True, allow_null=True)
    length = LengthOut(source="pack.length", read_only=True, allow_null=True)

    class Meta:
        model = Price
        fields = ("id", "pieces", "length", "amount", "on", "source", "plugged_by", "created_at")
        read_only_fields = fields


class RatesOut(Record):
    class Meta:
        model = JobRates
        fields = ("id", "wage", "burden_pct", "tax_pct", "version", "updated_at")
        read_only_fields = fields


class FactorOut(serializers.Serializer):
    key = serializers.CharField()
    name = serializers.CharField()
    times = serializers.DecimalField(max_digits=9, decimal_places=4)
    source = serializers.CharField()


class RoomConditionsOut(serializers.Serializer):
    """room: its name; empty for what stretches the whole job."""

    room = serializers.CharField(allow_blank=True)
    conditions = FactorOut(many=True)


class LaborUnitOut(serializers.Serializer):
    key = serializers.CharField()
    name = serializers.CharField()
    applies = serializers.ListField(child=serializers.CharField())
    phase = serializers.CharField()
    hours = serializers.DecimalField(max_digits=9, decimal_places=4)
    per = serializers.DecimalField(max_digits=9, decimal_places=4)
    when = serializers.CharField(allow_blank=True)
    whole = serializers.BooleanField()
    source = serializers.CharField()


class LoggedHoursOut(Record):
    corrects = serializers.IntegerField(source="corrects_id", read_only=True, allow_null=True)

    class Meta:
        model = LoggedHours
        fields = ("id", "on", "phase", "hours", "who", "note", "corrects", "created_at")
        read_only_fields = fields


class LoggedFeetOut(Record):
    corrects = serializers.IntegerField(source="corrects_id", read_only=True, allow_null=True)

    class Meta:
        model = LoggedFeet
        fields = ("id", "on", "phase", "cable", "length", "who", "note", "corrects", "created_at")
        read_only_fields = fields


class VisitOut(serializers.Serializer):
    """What was kept of one visit."""

    hours = LoggedHoursOut(many=True)
    feet = LoggedFeetOut(many=True)


ITEM = Body("PriceItemBody", ItemForm)
CHANGED_ITEM = Body("PriceItemBody", ChangeItemForm)
RATES = Body("RatesBody", RatesForm)
RATES_SCHEMA = RATES.schema()


def _price_fields():
    pieces = PriceForm(item=Item(unit="each")).fields
    length = PriceForm(item=Item(unit="length")).fields
    return {**pieces, "length": length["length"]}


def _log_fields():
    return LogForm(cables=cables(), unit=None).fields


PRICE = Body("PriceBody", PriceForm, example=_price_fields)
VISIT = Body(
    "VisitBody",
    LogForm,
    paths={f"pulled_{n}": ("pulled", key) for n, (key, _name) in enumerate(cables())},
    example=_log_fields,
)


class Items(ApiView):
    listing = Listing(Item, ordering=("name", "key", "updated_at"), search=("key", "name"))

    questions = ("show",)

    @extend_schema(
        operation_id="price_items",
        responses=PriceItemOut(many=True),
        parameters=[
            OpenApiParameter("show", str, enum=[key for key in SHOWN if key], description="Of those still on the list")
        ],
    )
    def get(self, request):
        """The price list: lines of the takeoff by their keys, and the shop's own items."""
        rows, show = Item.objects.of(request.shop), request.query_params.get("show", "")
        if show not in SHOWN:
            said = f"One of: {', '.join(key for key in SHOWN if key)}."
            raise Refused([{"parameter": "show", "detail": said, "code": "invalid"}])
        if show:
            rows = rows.filter(pk__in=items_shown(request.shop, {"q": "", "show": show}).values("pk"))
        return self.paged(rows, PriceItemOut)

    @extend_schema(
        operation_id="add_price_item",
        request=ITEM.schema(defaults={"category", "taxable", "retired"}),
        responses={201: PriceItemOut},
    )
    def post(self, request):
        """Add an item of the shop's own."""
        form = ITEM.fill(request.data, start={"taxable": True})
        try:
            item = services.add_item(request.shop, **form.cleaned_data)
        except services.KeyTaken as error:
            raise taken("/name", error) from error
        where = reverse("api:price_item", args=[item.pk])
        return self.told(item, PriceItemOut(item).data, status=201, headers={"Location": where})


class OneItem(RecordView):
    out = PriceItemOut

    @extend_schema(operation_id="price_item", responses=PriceItemOut)
    def get(self, request, item_id):
        """One item, without its prices."""
        return self.answer(item_of(request.shop, item_id))

    @extend_schema(operation_id="change_price_item", request=CHANGED_ITEM.schema(partial=True), responses=PriceItemOut)
    def patch(self, request, item_id):
        """Change what is given. An item bought by the coil stays so."""
        item = item_of(request.shop, item_id)
        by_length = item.by_length

        def save(form, seen):
            if by_length != (form.cleaned_data["unit"] == "length"):
                raise CannotBeDone("What is bought by the coil stays so. Add another item instead.")
            return services.change_item(item, seen, form.changes)

        return self.edit(item, CHANGED_ITEM, save, start=vars(item))


class Prices(ApiView):
    listing = Listing(Price, ordering=("updated_at",))

    @extend_schema(operation_id="item_prices", responses=PriceOut(many=True))
    def get(self, request, item_id):
        """Every price the item ever had, the latest first. amount null: not sold any more from that day."""
        item = item_of(request.shop, item_id)
        prices = Price.objects.of(request.shop).filter(pack__item=item).select_related("pack")
        return self.paged(prices, PriceOut, tape=request.shop.tape)

    @extend_schema(
        operation_id="set_price",
        request=PRICE.schema(defaults={"pieces", "length", "gone", "on"}),
        responses={201: PriceOut},
    )
    def post(self, request, item_id):
        """A pack's price from a day on. Nothing is overwritten."""
        item = item_of(request.shop, item_id)
        start = {"on": timezone.localdate(), **({} if item.by_length else {"pieces": 1})}
        form = PRICE.fill(request.data, start=start, item=item, tape=request.shop.tape)
        data = form.cleaned_data
        price = services.set_price(item, form.size, form.price, on=data["on"], source=data["source"], by=request.member)
        return Response(PriceOut(price, context={"tape": request.shop.tape}).data, status=201)


class Rates(ApiView):
    """A job's own rates; without a job, what the shop usually reckons with."""

    def stored(self, job):
        record = JobRates.objects.of(self.request.shop).filter(job=job).first()
        if record is None:
            raise Http404
        return record

    def read(self, job):
        record = self.stored(job)
        return self.told(record, RatesOut(record).data)

    def write(self, job):
        record = JobRates.objects.of(self.request.shop).filter(job=job).first()
        if record is None:
            form = RATES.fill(self.request.data, version=0)
            made = services.set_rates(self.request.shop, job, 0, form.changes)
            return self.told(made, RatesOut(made).data, status=201)

        def save(form, seen):
            return services.set_rates(self.request.shop, job, seen, form.changes)

        stored = self.change(record, RATES, lambda each: RatesOut(each).data, save, start=vars(record))
        return self.told(stored, RatesOut(stored).data)


class ShopRates(Rates):
    @extend_schema(operation_id="shop_rates", responses=RatesOut)
    def get(self, request):
        """What the shop usually reckons with; 404 until someone has entered it."""
        return self.read(None)

    @extend_schema(operation_id="set_shop_rates", request=RATES_SCHEMA, responses={200: RatesOut, 201: RatesOut})
    def put(self, request):
        """Wage, burden (percent of wage) and tax (percent of taxable material)."""
        return self.write(None)


class JobRatesView(Rates):
    @extend_schema(operation_id="job_rates", responses=RatesOut)
    def get(self, request, job_id):
        """The job's own rates; 404 where it reckons with the shop's."""
        return self.read(job_of(request.shop, job_id))

    @extend_schema(operation_id="set_job_rates", request=RATES_SCHEMA, responses={200: RatesOut, 201: RatesOut})
    def put(self, request, job_id):
        """Rates of the job's own."""
        return self.write(job_of(request.shop, job_id))


class Conditions(ApiView):
    listing = Listing()

    @extend_schema(operation_id="job_conditions", responses=RoomConditionsOut(many=True))
    def get(self, request, job_id):
        """What stretches hours, by room; where nobody entered any, the room's height and its fixtures suggest them."""
        found = conditions_of(job_of(request.shop, job_id))
        return self.paged([{"room": room, "conditions": factors} for room, factors in found.items()], RoomConditionsOut)


class Labor(ApiView):
    listing = Listing()

    @extend_schema(operation_id="labor_units", responses=LaborUnitOut(many=True))
    def get(self, request):
        """The shop's labor units as they count now."""
        return self.paged(labor_book(request.shop).all_units, LaborUnitOut)


class RoomHours(ApiView):
    listing = Listing(
        LoggedHours,
        filters={"from": day("on__gte"), "to": day("on__lte")},
        ordering=("on", "updated_at"),
        search=("who", "note"),
    )

    @extend_schema(operation_id="room_hours", responses=LoggedHoursOut(many=True))
    def get(self, request, room_id):
        """Hours written down in a room, the latest first."""
        room = room_of(request.shop, room_id)
        return self.paged(LoggedHours.objects.of(request.shop).filter(room=room), LoggedHoursOut)

    @extend_schema(
        operation_id="log_visit",
        request=VISIT.schema(defaults={"on", "phase", "who"}),
        responses={201: VisitOut},
    )
    def post(self, request, room_id):
        """Hours and cable of one visit. pulled: feet (meters in a metric job) by cable."""
        room = room_of(request.shop, room_id)
        unit = room.job.tape.unit
        start = {"on": timezone.localdate(), "phase": phase_at(room.stage), "who": request.member.user.name}
        form = VISIT.fill(request.data, start=start, cables=cables(), unit=unit)
        data = form.cleaned_data
        entries = services.log_visit(
            room, on=data["on"], phase=data["phase"], who=data["who"], note=data["note"], hours=data["hours"],
            feet=[(key, as_length(amount, unit)) for key, amount in form.pulled], by=request.member,
        )  # fmt: skip
        told = {
            "hours": [entry for entry in entries if isinstance(entry, LoggedHours)],
            "feet": [entry for entry in entries if isinstance(entry, LoggedFeet)],
        }
        return Response(VisitOut(told, context={"tape": room.job.tape}).data, status=201)


class RoomFeet(ApiView):
    listing = Listing(
        LoggedFeet,
        filters={"from": day("on__gte"), "to": day("on__lte"), "cable": text("cable")},
        ordering=("on", "updated_at"),
        search=("who", "note"),
    )

    @extend_schema(operation_id="room_feet", responses=LoggedFeetOut(many=True))
    def get(self, request, room_id):
        """Cable pulled in a room, the latest first."""
        room = room_of(request.shop, room_id)
        return self.paged(LoggedFeet.objects.of(request.shop).filter(room=room), LoggedFeetOut, tape=room.job.tape)


class TakeBack(ApiView):
    kind = "hours"

    def against(self, room_id, entry_id):
        room = room_of(self.request.shop, room_id)
        try:
            entry = services.take_back(entry_of(room, f"{self.kind}-{entry_id}"), by=self.request.member)
        except services.AlreadyCorrected as refused:
            raise CannotBeDone(str(refused)) from refused
        return entry, room


class TakeBackHours(TakeBack):
    @extend_schema(operation_id="take_back_hours", request=None, responses={201: LoggedHoursOut})
    def post(self, request, room_id, hours_id):
        """An entry against a slip; both stay."""
        entry, _room = self.against(room_id, hours_id)
        return Response(LoggedHoursOut(entry).data, status=201)


class TakeBackFeet(TakeBack):
    kind = "feet"

    @extend_schema(operation_id="take_back_feet", request=None, responses={201: LoggedFeetOut})
    def post(self, request, room_id, feet_id):
        """An entry against a slip; both stay."""
        entry, room = self.against(room_id, feet_id)
        return Response(LoggedFeetOut(entry, context={"tape": room.job.tape}).data, status=201)


urlpatterns = [
    path("prices/items/", Items.as_view(), name="price_items"),
    path("prices/items/<int:item_id>/", OneItem.as_view(), name="price_item"),
    path("prices/items/<int:item_id>/prices/", Prices.as_view(), name="item_prices"),
    path("prices/rates/", ShopRates.as_view(), name="shop_rates"),
    path("prices/labor/", Labor.as_view(), name="labor_units"),
    path("jobs/<int:job_id>/rates/", JobRatesView.as_view(), name="job_rates"),
    path("jobs/<int:job_id>/conditions/", Conditions.as_view(), name="job_conditions"),
    path("rooms/<int:room_id>/hours/", RoomHours.as_view(), name="room_hours"),
    path("rooms/<int:room_id>/feet/", RoomFeet.as_view(), name="room_feet"),
    path("rooms/<int:room_id>/hours/<int:hours_id>/take-back/", TakeBackHours.as_view(), name="take_back_hours"),
    path("rooms/<int:room_id>/feet/<int:feet_id>/take-back/", TakeBackFeet.as_view(), name="take_back_feet"),
]
