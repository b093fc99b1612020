"""The catalog over the API: the same fixture types, forms and services as its pages."""

from django.http import Http404
from django.urls import path, reverse
from drf_spectacular.utils import extend_schema

from projects.catalogue import light_api, services
from projects.catalogue.forms import (
    ChangeControlForm,
    ChangeTypeForm,
    ControlTypeForm,
    FixtureTypeForm,
    VerifyForm,
    start_of_type,
)
from projects.catalogue.models import ControlType, FixtureType, Install, KindChoice, Shape
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing, choice, yes_no
from projects.platform.api.views import Record, RecordView, taken

TYPE = Body("FixtureTypeBody", FixtureTypeForm)
CHANGED_TYPE = Body("FixtureTypeBody", ChangeTypeForm)
VERIFY = Body("VerifyBody", VerifyForm)
CONTROL = Body("ControlTypeBody", ControlTypeForm)
CHANGED_CONTROL = Body("ControlTypeBody", ChangeControlForm)


class FixtureTypeOut(Record):
    class Meta:
        model = FixtureType
        fields = (
            "id", "key", "name", "kind", "install", "shape", "cutout", "cutout_verified_by", "cutout_verified_on",
            "aperture", "trim", "depth", "watts", "lumens", "beam_deg", "photometric", "impedance_ohm", "coverage_deg",
            "sensitivity_db", "sensitivity_at", "measured_in", "power_watts",
            "frame_length", "frame_width", "opening_from_end", "opening_from_side", "frame_may_turn", "clip_swing",
            "junction_box_length", "junction_box_width", "volt_amperes", "power_factor", "through_wiring",
            "through_conductors", "through_awg", "tap_watts", "retired", "source", "version", "updated_at",
        )  # fmt: skip
        read_only_fields = fields


class TypeView(RecordView):
    def stored(self, type_id):
        record = FixtureType.objects.of(self.request.shop).filter(pk=type_id).first()
        if record is None:
            raise Http404
        return record

    def show(self, record):
        return FixtureTypeOut(record, context={"tape": self.request.shop.tape}).data


class FixtureTypes(TypeView):
    listing = Listing(
        FixtureType,
        filters={
            "kind": choice("kind", KindChoice.values),
            "install": choice("install", Install.values),
            "shape": choice("shape", Shape.values),
            "retired": yes_no("retired"),
        },
        ordering=("key", "name", "cutout", "updated_at"),
        search=("key", "name"),
    )

    @extend_schema(operation_id="fixture_types", responses=FixtureTypeOut(many=True))
    def get(self, request):
        """The shop's fixture types."""
        return self.paged(FixtureType.objects.of(request.shop), FixtureTypeOut, tape=request.shop.tape)

    @extend_schema(
        operation_id="add_fixture_type",
        request=TYPE.schema(defaults={"shape"}),
        responses={201: FixtureTypeOut},
    )
    def post(self, request):
        """Add a type. Its cutout counts as not verified until someone says so."""
        form = TYPE.fill(request.data, start={"shape": "round"}, tape=request.shop.tape, shop=request.shop)
        try:
            record = services.add_type(request.shop, **form.cleaned_data)
        except services.KeyTaken as error:
            raise taken("/name", "The catalog already has this name. Give a different one.") from error
        return self.made(record, reverse("api:fixture_type", args=[record.pk]))


class FixtureTypeView(TypeView):
    @extend_schema(operation_id="fixture_type", responses=FixtureTypeOut)
    def get(self, request, type_id):
        """One fixture type."""
        return self.answer(self.stored(type_id))

    @extend_schema(
        operation_id="change_fixture_type", request=CHANGED_TYPE.schema(partial=True), responses=FixtureTypeOut
    )
    def patch(self, request, type_id):
        """Change what is given; a changed cutout is no longer a verified one."""
        record = self.stored(type_id)
        return self.edit(
            record,
            CHANGED_TYPE,
            lambda form, seen: services.change_type(record, seen, _without_version(form)),
            start=start_of_type(record),
            tape=request.shop.tape,
            shop=request.shop,
        )


class VerifyCutout(TypeView):
    @extend_schema(operation_id="verify_cutout", request=VERIFY.schema(), responses=FixtureTypeOut)
    def post(self, request, type_id):
        """Someone has cut one and fitted it dry: who, and on which day. Needs If-Match, like any change."""
        record = self.stored(type_id)
        return self.edit(
            record,
            VERIFY,
            lambda form, seen: services.verify_cutout(
                record, seen, by=form.cleaned_data["verified_by"], on=form.cleaned_data["verified_on"]
            ),
        )


class ControlTypeOut(Record):
    class Meta:
        model = ControlType
        fields = (
            "id", "key", "name", "kind", "gangs", "led_watts", "side_sections", "led_watts_one_off",
            "led_watts_both_off", "min_watts", "retired", "source", "version", "updated_at",
        )  # fmt: skip
        read_only_fields = fields


class ControlTypes(RecordView):
    out = ControlTypeOut
    listing = Listing(ControlType, ordering=("key", "updated_at"), search=("key", "name"))

    @extend_schema(operation_id="control_types", responses=ControlTypeOut(many=True))
    def get(self, request):
        """The switches and dimmers the shop puts in."""
        return self.paged(ControlType.objects.of(request.shop), ControlTypeOut)

    @extend_schema(
        operation_id="add_control_type",
        request=CONTROL.schema(defaults={"kind", "gangs"}),
        responses={201: ControlTypeOut},
    )
    def post(self, request):
        """Add a switch or a dimmer, with what its sheet says of LED lamps."""
        form = CONTROL.fill(request.data, start={"kind": "dimmer", "gangs": 1})
        try:
            record = services.add_control(request.shop, **form.cleaned_data)
        except services.KeyTaken as error:
            raise taken("/name", "The catalog already has this name. Give a different one.") from error
        return self.made(record, reverse("api:control_type", args=[record.pk]))


class ControlTypeView(RecordView):
    out = ControlTypeOut

    def stored(self, control_id):
        record = ControlType.objects.of(self.request.shop).filter(pk=control_id).first()
        if record is None:
            raise Http404
        return record

    @extend_schema(operation_id="control_type", responses=ControlTypeOut)
    def get(self, request, control_id):
        """One switch or dimmer."""
        return self.answer(self.stored(control_id))

    @extend_schema(
        operation_id="change_control_type", request=CHANGED_CONTROL.schema(partial=True), responses=ControlTypeOut
    )
    def patch(self, request, control_id):
        """Change what is given."""
        record = self.stored(control_id)
        return self.edit(
            record,
            CHANGED_CONTROL,
            lambda form, seen: services.change_control(record, seen, _without_version(form)),
            start=vars(record),
        )


def _without_version(form):
    return {name: value for name, value in form.cleaned_data.items() if name != "version"}


urlpatterns = [
    path("fixture-types/", FixtureTypes.as_view(), name="fixture_types"),
    path("fixture-types/<int:type_id>/", FixtureTypeView.as_view(), name="fixture_type"),
    path("fixture-types/<int:type_id>/verify/", VerifyCutout.as_view(), name="verify_cutout"),
    path("controls/", ControlTypes.as_view(), name="control_types"),
    path("controls/<int:control_id>/", ControlTypeView.as_view(), name="control_type"),
    *light_api.urlpatterns,
]
