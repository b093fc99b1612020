"""The shop's labor numbers, conditions, a job's priced takeoff and its plugs over the API. As on their pages."""

from django import forms
from django.urls import path, reverse
from django.utils.text import slugify
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs.queries import job_of, room_of
from projects.platform.api.bodies import Body, Kind, Unfit
from projects.platform.api.lists import Listing
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import ApiView, Record, taken
from projects.platform.forms import TapeForm
from reports.prices import services
from reports.prices.averages import feet_a_light, hours_a_light
from reports.prices.forms import ConditionsForm, LaborNumberForm, OwnConditionForm
from reports.prices.labor_web import BOUNDS, choices_of, is_known
from reports.prices.lines import rules_for
from reports.prices.models import Conditions, LaborEdit
from reports.prices.queries import labor_book, latest_edits, suggested_conditions


class NumberForm(LaborNumberForm):
    seen = forms.IntegerField(min_value=0, max_value=2**62, label="The id of the edit that was seen, 0 for none")


class AverageForm(TapeForm):
    what = forms.ChoiceField(choices=[("whole", "hours a light of a phase"), ("footage", "feet a light of a cable")])
    key = forms.CharField(max_length=60)
    seen = forms.IntegerField(min_value=0, max_value=2**62, label="The id of the edit that was seen, 0 for none")


def _keys(value, form):
    if not isinstance(value, list) or any(not isinstance(one, str) for one in value):
        raise Unfit("Give a list of conditions' keys.")
    return value


def _keys_shape(box, options):
    child = serializers.CharField(max_length=60)
    return serializers.ListField(child=child, max_length=100, help_text=str(box.label), **options)


NUMBER = Body("LaborNumberBody", NumberForm)
OWN = Body("OwnConditionBody", OwnConditionForm)
AVERAGE = Body("LaborAverageBody", AverageForm)
CONDITIONS = Body(
    "ConditionsBody", ConditionsForm, kinds={"keys": Kind(_keys, _keys_shape)},
    example=lambda: ConditionsForm.base_fields,
)  # fmt: skip


class LaborEditOut(Record):
    """value null: the table's own again."""

    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = LaborEdit
        fields = ("id", "what", "key", "name", "value", "note", "rooms_behind", "by", "created_at")
        read_only_fields = fields


class LaborAverageOut(serializers.Serializer):
    what = serializers.CharField()
    key = serializers.CharField()
    value = serializers.DecimalField(12, 4)
    plain = serializers.DecimalField(12, 4)
    lights = serializers.IntegerField()
    rooms = serializers.IntegerField()


class OwnConditionsOut(serializers.Serializer):
    """keys: as entered, or as suggested while nobody entered any. choices: what may be chosen here."""

    keys = serializers.ListField(child=serializers.CharField())
    entered = serializers.BooleanField()
    suggested = serializers.ListField(child=serializers.CharField())
    choices = serializers.ListField(child=serializers.CharField())
    version = serializers.IntegerField()


class ListedOut(serializers.Serializer):
    added = serializers.IntegerField()


class ListLines(ApiView):
    pagination_class = None

    @extend_schema(operation_id="list_price_lines", request=None, responses=ListedOut)
    def post(self, request):
        """Put every line a takeoff can ask for on the price list."""
        return Response({"added": services.list_lines(request.shop, rules_for(request.shop))})


# Labor


class LaborNumbers(ApiView):
    listing = Listing()

    @extend_schema(operation_id="labor_edits", responses=LaborEditOut(many=True))
    def get(self, request):
        """The shop's own numbers in place of the labor table's, each by its latest edit."""
        edits = sorted(latest_edits(request.shop).values(), key=lambda edit: edit.pk)
        return self.paged(edits, LaborEditOut)

    @extend_schema(
        operation_id="edit_labor_number",
        request=NUMBER.schema(defaults=("value", "note")),
        responses={201: LaborEditOut},
    )
    def post(self, request):
        """A number of the table as the shop has it; without a value the table's own again."""
        said = NUMBER.fill(request.data).cleaned_data
        what, key, value = said["what"], said["key"], said["value"]
        if what not in BOUNDS or not is_known(request.shop, what, key):
            raise Refused([wrong(("key",), "There is no such number in the labor table.", "unknown")])
        low, high = BOUNDS[what]
        if value is not None and not low <= value <= high:
            raise Refused([wrong(("value",), f"Between {low} and {high}.", "out_of_bounds")])
        return _edited(request, what, key, value, seen=said["seen"], note=said["note"])


def _edited(request, what, key, value, **more):
    try:
        made = services.edit_labor(request.shop, what, key, value, by=request.member, **more)
    except services.EditedMeanwhile as newer:
        raise CannotBeDone(str(newer)) from newer
    where = reverse("api:labor_numbers")
    return Response(LaborEditOut(made).data, status=201, headers={"Location": where})


class OwnConditions(ApiView):
    pagination_class = None

    @extend_schema(operation_id="add_labor_condition", request=OWN.schema(), responses={201: LaborEditOut})
    def post(self, request):
        """A condition of the shop's own, and what hours are multiplied by under it."""
        said = OWN.fill(request.data).cleaned_data
        key = f"own_{slugify(said['name'])[:50] or 'condition'}".replace("-", "_")
        if is_known(request.shop, LaborEdit.What.OWN, key):
            raise taken("/name", "There is a condition of this name. Change its number instead.")
        return _edited(request, LaborEdit.What.OWN, key, said["times"], seen=0, name=said["name"])


class LaborAverages(ApiView):
    listing = Listing()

    @extend_schema(operation_id="labor_averages", responses=LaborAverageOut(many=True))
    def get(self, request):
        """What the shop's own rooms took, by phase and by cable."""
        return self.paged(_averages(request.shop), LaborAverageOut)

    @extend_schema(operation_id="take_labor_average", request=AVERAGE.schema(), responses={201: LaborEditOut})
    def post(self, request):
        """Make the shop's average its number, from as many rooms as stand behind it."""
        said = AVERAGE.fill(request.data).cleaned_data
        asked = (said["what"], said["key"])
        found = next((each for each in _averages(request.shop) if (each["what"], each["key"]) == asked), None)
        if found is None:
            raise CannotBeDone("There is no average to take yet: log hours in rooms that are past this phase.")
        return _edited(request, *asked, found["value"], seen=said["seen"], rooms_behind=found["rooms"])


def _averages(shop):
    names = ("key", "value", "plain", "lights", "rooms")
    return [
        {"what": what, **{name: getattr(each, name) for name in names}}
        for what, found in (("whole", hours_a_light(shop)), ("footage", feet_a_light(shop)))
        for each in found
    ]


# Conditions


class _Conditions(ApiView):
    pagination_class = None

    def stored(self, **where):
        """What was entered, or a record of nothing at version 0."""
        found = Conditions.objects.of(self.request.shop).filter(**where).first()
        return found or Conditions(shop=self.request.shop, version=0, keys="", **where)

    def shown(self, record, scope, suggested=()):
        entered = record.pk is not None
        choices = [key for key, _words in choices_of(labor_book(self.request.shop), scope)]
        told = {
            "keys": record.chosen if entered else suggested, "entered": entered, "suggested": suggested,
            "choices": choices, "version": record.version,
        }  # fmt: skip
        return OwnConditionsOut(told).data

    def answered(self, scope, suggested=(), **where):
        record = self.stored(**where)
        return self.told(record, self.shown(record, scope, suggested))

    def entered(self, scope, suggested=(), **where):
        record, book = self.stored(**where), labor_book(self.request.shop)
        self.seen_version(record, self.shown(record, scope, suggested))
        if not isinstance(self.request.data, dict) or "keys" not in self.request.data:
            raise Refused([wrong(("keys",), "Give a list of keys, empty for none.", "required")])
        stored = self.change(
            record,
            CONDITIONS,
            lambda one: self.shown(one, scope, suggested),
            lambda form, seen: services.set_conditions(
                self.request.shop, form.cleaned_data["keys"], seen, **where
            ),
            choices=choices_of(book, scope),
        )
        return self.told(stored, self.shown(stored, scope, suggested))


BODY = CONDITIONS.schema()


class JobOwnConditions(_Conditions):
    @extend_schema(operation_id="job_own_conditions", responses=OwnConditionsOut)
    def get(self, request, job_id):
        """What stretches the whole job's hours."""
        return self.answered("job", job=job_of(request.shop, job_id))

    @extend_schema(operation_id="set_job_conditions", request=BODY, responses=OwnConditionsOut)
    def put(self, request, job_id):
        """Say which conditions hold for the whole job."""
        return self.entered("job", job=job_of(request.shop, job_id))


class RoomConditions(_Conditions):
    @extend_schema(operation_id="room_conditions", responses=OwnConditionsOut)
    def get(self, request, room_id):
        """What stretches a room's hours; suggested by its height and fixtures while nobody entered any."""
        room = room_of(request.shop, room_id)
        return self.answered("room", _suggested(room), room=room)

    @extend_schema(operation_id="set_room_conditions", request=BODY, responses=OwnConditionsOut)
    def put(self, request, room_id):
        """Say which conditions hold in this room."""
        room = room_of(request.shop, room_id)
        return self.entered("room", _suggested(room), room=room)


def _suggested(room):
    return suggested_conditions(room.shop, [room.job_id]).get(room.pk, ())


urlpatterns = [
    path("price-items/list-lines/", ListLines.as_view(), name="list_price_lines"),
    path("labor/numbers/", LaborNumbers.as_view(), name="labor_numbers"),
    path("labor/conditions/", OwnConditions.as_view(), name="labor_conditions"),
    path("labor/averages/", LaborAverages.as_view(), name="labor_averages"),
    path("jobs/<int:job_id>/conditions/own/", JobOwnConditions.as_view(), name="job_own_conditions"),
    path("rooms/<int:room_id>/conditions/", RoomConditions.as_view(), name="room_conditions"),
]
