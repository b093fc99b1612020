"""A takeoff's matrix, purchases, hours and files over the API, and what is asked for."""

from django import forms
from django.http import Http404, HttpResponse
from django.urls import path, reverse
from django.utils.text import slugify
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.catalogue.tables import takeoff_rules
from projects.jobs.queries import job_of, room_of
from projects.platform.api.bodies import Body, Kind, Unfit
from projects.platform.api.files import FileView, saved_as
from projects.platform.api.lengths import LengthOut
from projects.platform.api.lists import Listing
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import ApiView
from projects.platform.permissions import may
from projects.work.services import start
from reports.takeoffs import showing
from reports.takeoffs.api import CountedView
from reports.takeoffs.counting import count_room, rooms_of, rooms_to_count, since_counts
from reports.takeoffs.forms import AskedForm, RoomCountingForm
from reports.takeoffs.models import DeviceChoice
from reports.takeoffs.rules import rules_of
from reports.takeoffs.services import ask_for, priced_now, set_feet, takeoff_now
from reports.takeoffs.sheets_web import KINDS, MOST_ROOMS, sheet
from reports.takeoffs.web import ROOMS_ACROSS, sums_of

SHEETS = {"rows": ("rooms", "items"), "bom": ("0", "1")}


class MatrixRowOut(serializers.Serializer):
    name = serializers.CharField()
    unit = serializers.CharField()
    cells = serializers.ListField(child=serializers.CharField(), help_text="One for each room")
    total = serializers.CharField(help_text="Over all rooms of the job")
    counted = serializers.BooleanField()


class MatrixOut(serializers.Serializer):
    rooms = serializers.SerializerMethodField()
    rows = MatrixRowOut(many=True)

    def get_rooms(self, table) -> list[str]:
        return [room.name for room in table.rooms]


class ToPurchaseOut(serializers.Serializer):
    group = serializers.CharField()
    name = serializers.CharField()
    order = serializers.CharField()
    unit = serializers.CharField()
    packs = serializers.ListField(child=serializers.CharField(), help_text="2 × 250 ft; empty: bought one by one")
    over = serializers.CharField()
    spares = serializers.IntegerField()
    counted = serializers.BooleanField()


class LaborRowOut(serializers.Serializer):
    name = serializers.CharField()
    hours = serializers.ListField(child=serializers.DecimalField(12, 4), help_text="By phase")
    total = serializers.DecimalField(12, 4)


class TakeoffLaborOut(serializers.Serializer):
    phases = serializers.ListField(child=serializers.CharField())
    items = LaborRowOut(many=True)
    rooms = LaborRowOut(many=True)
    total = LaborRowOut()


class CountingOut(serializers.Serializer):
    work = serializers.IntegerField(help_text="Its id under /work/")


class OptionalItemsOut(serializers.Serializer):
    """items: taken where they are asked for. choices: those that may be."""

    items = serializers.ListField(child=serializers.CharField())
    choices = serializers.ListField(child=serializers.CharField())


class DeviceFeetOut(serializers.Serializer):
    device = serializers.ChoiceField(choices=DeviceChoice.values)
    each = LengthOut(allow_null=True, help_text="null: the shop's usual")
    usual = LengthOut()


class SinceItemOut(serializers.Serializer):
    name = serializers.CharField()
    unit = serializers.CharField()
    before = serializers.CharField()
    after = serializers.CharField()


class RoomCountingOut(OptionalItemsOut):
    """A room before it is measured. since: what its layout changed of that; null while there is none."""

    feet = DeviceFeetOut(many=True)
    since = SinceItemOut(many=True, allow_null=True)


# The job's takeoff, told in other ways


class TakeoffMatrix(CountedView):
    pagination_class = None
    questions = ("rooms_page",)

    @extend_schema(
        operation_id="takeoff_matrix",
        responses=MatrixOut,
        parameters=[OpenApiParameter("rooms_page", int, description=f"{ROOMS_ACROSS} rooms at a time, from 1 on")],
    )
    def get(self, request, job_id):
        """Items down, rooms across, some rooms at a time."""
        self.refuse_unknown_questions(request.query_params)
        job = job_of(request.shop, job_id)
        summed = sums_of(job)
        given = request.query_params.get("rooms_page", "1")
        pages = max(1, -(-len(summed.rooms) // ROOMS_ACROSS))
        if not (given.isascii() and given.isdecimal() and len(given) < 6 and 1 <= int(given) <= pages):
            raise Refused([{"parameter": "rooms_page", "detail": f"From 1 to {pages}.", "code": "invalid"}])
        first = (int(given) - 1) * ROOMS_ACROSS
        table = showing.matrix(summed.job, list(summed.rooms[first : first + ROOMS_ACROSS]), job.tape.unit)
        return Response(MatrixOut(table).data)


class PurchaseList(CountedView):
    listing = Listing()

    @extend_schema(operation_id="purchase_list", responses=ToPurchaseOut(many=True))
    def get(self, request, job_id):
        """What to purchase, in whole packs, from nobody in particular and without prices."""
        job = job_of(request.shop, job_id)
        groups = showing.purchase(sums_of(job).job, rules_of(request.shop), job.tape.unit)
        names = ("name", "order", "unit", "packs", "over", "spares", "counted")
        rows = [
            {"group": str(group), **{name: getattr(line, name) for name in names}}
            for group, lines in groups
            for line in lines
        ]
        return self.paged(rows, ToPurchaseOut)


class TakeoffLabor(CountedView):
    pagination_class = None

    @extend_schema(operation_id="takeoff_labor", responses=TakeoffLaborOut)
    def get(self, request, job_id):
        """Hours by phase, for who may see prices."""
        job = job_of(request.shop, job_id)
        table = showing.labor(priced_now(job, takeoff_now(job, counted=sums_of(job)), apart=False))
        return Response(TakeoffLaborOut(table).data)


class CountJob(ApiView):
    pagination_class = None

    @extend_schema(operation_id="count_job", request=None, responses={202: CountingOut})
    def post(self, request, job_id):
        """Count a job's rooms as long work."""
        job = job_of(request.shop, job_id)
        work = start(request.shop, "count job", {"job_id": job.pk}, request.member, title=f"Count {job}")
        where = reverse("api:work", args=[work.pk])
        return Response({"work": work.pk}, status=202, headers={"Location": where})


class TakeoffSheet(FileView, CountedView):
    questions = ("takeoff", *SHEETS)

    @extend_schema(
        operation_id="takeoff_sheet",
        responses={(200, kind.partition(";")[0]): OpenApiTypes.BINARY for kind in KINDS.values()},
        parameters=[
            OpenApiParameter("takeoff", str, description="A kept takeoff's number; now unless given"),
            OpenApiParameter("rows", str, enum=SHEETS["rows"], description="Room by room unless given"),
            OpenApiParameter("bom", str, enum=SHEETS["bom"], description="1: CSV with a byte order mark"),
        ],
    )
    def get(self, request, job_id, sheet_form):
        """The takeoff as a file: csv, tsv, xlsx or json. With prices for who may see them."""
        self.refuse_unknown_questions(request.query_params)
        job = job_of(request.shop, job_id)
        if sheet_form not in KINDS:
            raise Http404
        asked = {name: request.query_params.get(name, known[0]) for name, known in SHEETS.items()}
        if errors := [
            {"parameter": name, "detail": f"One of: {', '.join(SHEETS[name])}.", "code": "invalid"}
            for name, given in asked.items()
            if given not in SHEETS[name]
        ]:
            raise Refused(errors)
        by_item = asked["rows"] == "items"
        if rooms_of(job).count() > MOST_ROOMS and (sheet_form == "xlsx" or not by_item):
            raise CannotBeDone(f"A sheet takes {MOST_ROOMS} rooms line by line. Take the CSV item by item.")
        content = sheet(
            job, sheet_form, office=may(request.member, "see prices"), by_item=by_item, bom=asked["bom"] == "1",
            taken=request.query_params.get("takeoff", ""),
        )  # fmt: skip
        name = slugify(f"{job.number} takeoff") or "takeoff"
        return saved_as(HttpResponse(content, content_type=KINDS[sheet_form]), f"{name}.{sheet_form}")


# What is asked for


class ItemsForm(forms.Form):
    items = forms.CharField(required=False, label="Keys of the optional items that are taken; others are not")


def _items(value, form):
    if not isinstance(value, list) or any(not isinstance(one, str) or " " in one for one in value):
        raise Unfit("Give a list of items' keys.")
    return " ".join(value)


def _items_shape(box, options):
    child = serializers.CharField(max_length=60)
    return serializers.ListField(child=child, max_length=400, help_text=str(box.label), **options)


ASKED_ITEMS = Body("AskedItemsBody", ItemsForm, kinds={"items": Kind(_items, _items_shape)})


def _optional(shop, *, job_wide):
    return [name for name in AskedForm(rules=rules_of(shop), job_wide=job_wide).fields if name != "seen"]


def _asked(given, known):
    """The items that are asked for. Raises Refused for one that nobody knows."""
    if not isinstance(given, dict) or "items" not in given:
        raise Refused([wrong(("items",), "Give a list of keys, empty for none.", "required")])
    items = ASKED_ITEMS.fill(given).cleaned_data["items"].split()
    unknown = [
        wrong(("items", n), "Not an optional item.", "unknown") for n, one in enumerate(items) if one not in known
    ]
    if unknown:
        raise Refused(unknown)
    return items


class AskedItems(ApiView):
    pagination_class = None
    versioned = False

    @extend_schema(operation_id="asked_items", responses=OptionalItemsOut)
    def get(self, request, job_id):
        """Optional items that the whole job takes."""
        return Response(self.shown(job_of(request.shop, job_id)))

    @extend_schema(operation_id="ask_for_items", request=ASKED_ITEMS.schema(), responses=OptionalItemsOut)
    def post(self, request, job_id):
        """Say which optional items the whole job takes: these, and no others."""
        job = job_of(request.shop, job_id)
        items = _asked(request.data, _optional(request.shop, job_wide=True))
        ask_for(job, items, seen=set(self.standing(job)))
        return Response(self.shown(job))

    def standing(self, job):
        return sorted(job.asked_items.filter(room=None).values_list("item", flat=True))

    def shown(self, job):
        return {"items": self.standing(job), "choices": _optional(job.shop, job_wide=True)}


class CountingForm(RoomCountingForm):
    """The boxes of feet alone; what is asked for is a list."""

    seen = None

    def __init__(self, *args, rules, **kwargs):
        super().__init__(*args, rules=rules, **kwargs)
        for name in [name for name in self.fields if not name.startswith(FEET)]:
            del self.fields[name]


FEET = "feet_"
FEET_PATHS = {f"{FEET}{device}": ("feet", device) for device in DeviceChoice.values}


def _feet_fields():
    return CountingForm(rules=takeoff_rules()).fields


FEET_BODY = Body("RoomCountingBody", CountingForm, paths=FEET_PATHS, example=_feet_fields)


def _counting_body():
    return type("RoomCountingBody", (FEET_BODY.schema(),), {"items": ASKED_ITEMS.schema()().fields["items"]})


class RoomCounting(CountedView):
    pagination_class = None

    @extend_schema(operation_id="room_counting", responses=RoomCountingOut)
    def get(self, request, room_id):
        """A room before it is measured: its feet per device, what it takes besides, and what the layout changed."""
        return Response(self.shown(room_of(request.shop, room_id)))

    @extend_schema(operation_id="count_room", request=_counting_body(), responses=RoomCountingOut)
    def post(self, request, room_id):
        """Say which optional items the room takes (these, and no others), and its cable for each device."""
        room = room_of(request.shop, room_id)
        given = dict(request.data) if isinstance(request.data, dict) else {}
        asked = {name: given.pop(name) for name in ("items",) if name in given}
        items = _asked(asked, _optional(request.shop, job_wide=False))
        feet = FEET_BODY.fill(given, start=self.own_feet(room), rules=rules_of(request.shop), tape=room.job.tape).feet
        ask_for(room.job, items, room=room, seen=set(self.standing(room)))
        set_feet(room, feet)
        return Response(self.shown(room))

    def own_feet(self, room):
        return {f"{FEET}{feet.device}": feet.each for feet in room.device_feet.all()}

    def standing(self, room):
        return sorted(room.asked_items.values_list("item", flat=True))

    def shown(self, room):
        rules, own = rules_of(room.shop), {feet.device: feet.each for feet in room.device_feet.all()}
        (one,) = rooms_to_count(room.job, [room.pk]) or (None,)
        counted = count_room(one, rules) if one else None
        laid = counted is not None and counted.revision is not None
        since = since_counts(one, counted, rules) if laid else None
        told = {
            "items": self.standing(room),
            "choices": _optional(room.shop, job_wide=False),
            "feet": [
                {"device": device, "each": own.get(device), "usual": rules.per_device[device].length}
                for device in DeviceChoice.values
            ],
            "since": showing.difference_of_room(since, room.job.tape).items if since else None,
        }
        return RoomCountingOut(told, context={"tape": room.job.tape}).data


TAKEOFF = "jobs/<int:job_id>/takeoff/"

urlpatterns = [
    path(TAKEOFF + "matrix/", TakeoffMatrix.as_view(), name="takeoff_matrix"),
    path(TAKEOFF + "purchase/", PurchaseList.as_view(), name="purchase_list"),
    path(TAKEOFF + "labor/", TakeoffLabor.as_view(), name="takeoff_labor"),
    path(TAKEOFF + "count/", CountJob.as_view(), name="count_job"),
    path(TAKEOFF + "asked/", AskedItems.as_view(), name="asked_items"),
    path(TAKEOFF + "sheet/<slug:sheet_form>/", TakeoffSheet.as_view(), name="takeoff_sheet"),
    path("rooms/<int:room_id>/counting/", RoomCounting.as_view(), name="room_counting"),
]
