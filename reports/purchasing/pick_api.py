"""A room's pick lists and the shop's shelf over the API. The same forms and services as their pages."""

from django import forms
from django.urls import path, reverse
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs.models import Job
from projects.jobs.queries import room_of
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import ApiView, Record
from projects.platform.forms import NameFormField, TapeForm
from reports.papers_api import Document, described
from reports.purchasing import queries, services
from reports.purchasing.api import LeftoverOut, MaterialView, MovementOut
from reports.purchasing.forms import ShelfForm, TakeForm
from reports.purchasing.models import MOST, Leftover, PickLine, PickList
from reports.purchasing.moves_api import HEAD, PLACED, PLACED_ROW, booked, filled, slipped, whole
from reports.purchasing.papers import pick_list_paper
from reports.purchasing.room_web import ref_of
from reports.purchasing.services import Item


class PickRowForm(TapeForm):
    key = forms.CharField(max_length=120, label="The line's key, from the room's material")
    quantity = forms.IntegerField(min_value=1, max_value=MOST)


class TakenForm(TakeForm):
    """What is taken is told by key, unit and shelf."""

    key = forms.CharField(max_length=120)
    unit = forms.CharField(max_length=10)
    lies = NameFormField(max_length=80, required=False)

    def __init__(self, data=None, *, jobs, **kwargs):
        super().__init__(jobs, data, **kwargs)


PICK_ROW = Body("PickLineBody", PickRowForm)
SHELF = Body("LeftoverCountBody", ShelfForm, example=lambda: slipped(ShelfForm()))
TAKE = Body("LeftoverTakeBody", TakenForm, example=lambda: slipped(TakenForm(jobs=Job.objects.none())))
PICK_LIST_BODY = whole("PickListBody", HEAD, PICK_ROW.schema())
PICKED_BODY = whole("PickedBody", HEAD, PLACED)


class PickLineOut(Record):
    class Meta:
        model = PickLine
        fields = ("id", "key", "name", "unit", "quantity")
        read_only_fields = fields


class PickListOut(Record):
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)
    lines = PickLineOut(many=True)

    class Meta:
        model = PickList
        fields = ("id", "number", "room", "note", "by", "at", "lines")
        read_only_fields = fields


class LedgerOut(Record):
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = Leftover
        fields = ("id", "key", "name", "unit", "change", "lies", "job", "note", "by", "at")
        read_only_fields = fields


# Pick lists


class PickLists(MaterialView):
    listing = Listing(PickList)

    @extend_schema(operation_id="pick_lists", responses=PickListOut(many=True))
    def get(self, request, room_id):
        """A room's pick lists, the newest first."""
        lists = room_of(request.shop, room_id).pick_lists.select_related("by__user").prefetch_related("lines")
        return self.paged(lists.order_by("-pk"), PickListOut)

    @extend_schema(operation_id="write_pick_list", request=PICK_LIST_BODY, responses={201: PickListOut})
    def post(self, request, room_id):
        """Write down what a room is to get. The same slip again gives the same list."""
        room = room_of(request.shop, room_id)
        head, rows = filled(request.data, HEAD, PICK_ROW)
        lines = {line.key: line for line in queries.room_material(room).lines}
        errors = [
            wrong(("lines", n, "key"), "Not a line of this room's material.", "unknown")
            for n, row in enumerate(rows)
            if row["key"] not in lines
        ]
        if errors:
            raise Refused(errors)
        items = [Item(row["key"], lines[row["key"]].name, lines[row["key"]].unit, row["quantity"]) for row in rows]
        made = services.write_pick_list(room, items, by=request.member, **head)
        where = reverse("api:pick_list", args=[room.pk, made.number])
        return Response(PickListOut(made).data, status=201, headers={"Location": where})


class PickListView(Document, MaterialView):
    @described("pick_list", PickListOut)
    def get(self, request, room_id, pick_number):
        """One list, as values or on paper."""
        made = queries.pick_list_of(room_of(request.shop, room_id), pick_number)
        return self.answer(
            lambda: pick_list_paper(made, ref_of(made.room), on=timezone.localdate()), lambda: PickListOut(made).data
        )


class _Pick(MaterialView):
    pagination_class = None

    def picked(self, request, room_id, pick_number, *, back):
        made = queries.pick_list_of(room_of(request.shop, room_id), pick_number)
        head, rows = filled(request.data, HEAD, PLACED_ROW)
        moved = booked(rows, lambda some: services.pick(made, some, by=request.member, back=back, **head))
        return Response(MovementOut(moved, many=True).data, status=201)


class Picks(_Pick):
    @extend_schema(operation_id="pick_material", request=PICKED_BODY, responses={201: MovementOut(many=True)})
    def post(self, request, room_id, pick_number):
        """Take material of a list to the room, each line from where it lies."""
        return self.picked(request, room_id, pick_number, back=False)


class BroughtBack(_Pick):
    @extend_schema(operation_id="bring_back_material", request=PICKED_BODY, responses={201: MovementOut(many=True)})
    def post(self, request, room_id, pick_number):
        """Bring material of a list back, each line to where it lies again."""
        return self.picked(request, room_id, pick_number, back=True)


# The shelf


class LeftoverLedger(ApiView):
    listing = Listing(Leftover, search=("name", "lies", "note"))

    @extend_schema(operation_id="leftover_ledger", responses=LedgerOut(many=True))
    def get(self, request):
        """Every change of the shelf, the latest first."""
        return self.paged(Leftover.objects.of(request.shop).select_related("by__user"), LedgerOut)


class CountLeftovers(MaterialView):
    pagination_class = None

    @extend_schema(
        operation_id="count_leftovers",
        request=SHELF.schema(defaults=("key", "lies", "note", "slip")),
        responses={201: LedgerOut},
    )
    def post(self, request):
        """Enter leftovers that were found (above 0), or write off what is gone (below 0)."""
        said = SHELF.fill(request.data).cleaned_data
        key = said["key"] or f"{queries.OWN}{said['name'].lower()[:110]}"
        item = Item(key, said["name"], said["unit"], abs(said["change"]))
        made = services.count_shelf(
            request.shop, item, said["change"], lies=said["lies"], slip=said["slip"], note=said["note"],
            by=request.member,
        )  # fmt: skip
        where = reverse("api:leftover_ledger")
        return Response(LedgerOut(made).data, status=201, headers={"Location": where})


class TakeLeftovers(MaterialView):
    pagination_class = None

    @extend_schema(
        operation_id="take_leftovers",
        request=TAKE.schema(defaults=("lies", "slip")),
        responses={201: LeftoverOut(many=True)},
    )
    def post(self, request):
        """Take leftovers for a job. Answers with what is left of them on that shelf."""
        said = TAKE.fill(request.data, jobs=Job.objects.of(request.shop)).cleaned_data
        row = self.on_shelf(said).first()
        if row is None:
            raise CannotBeDone("Nothing of that is left on the shelf.")
        item = Item(row["key"], row["name"], row["unit"], said["quantity"])
        services.take_from_shelf(
            said["job"], item, said["went_to"], lies=row["lies"], slip=said["slip"], by=request.member
        )
        where = reverse("api:movements", args=[said["job"].pk])
        return Response(
            LeftoverOut(self.on_shelf(said), many=True).data, status=201, headers={"Location": where}
        )

    def on_shelf(self, said):
        rows = services.shelf(self.request.shop.pk)
        return rows.filter(key=said["key"], unit=said["unit"], lies=said["lies"])


ROOM = "rooms/<int:room_id>/"
LIST = ROOM + "pick-lists/<int:pick_number>/"

urlpatterns = [
    path(ROOM + "pick-lists/", PickLists.as_view(), name="pick_lists"),
    path(LIST, PickListView.as_view(), name="pick_list"),
    path(LIST + "picks/", Picks.as_view(), name="picks"),
    path(LIST + "returns/", BroughtBack.as_view(), name="pick_returns"),
    path("leftovers/ledger/", LeftoverLedger.as_view(), name="leftover_ledger"),
    path("leftovers/counts/", CountLeftovers.as_view(), name="count_leftovers"),
    path("leftovers/takes/", TakeLeftovers.as_view(), name="take_leftovers"),
]
