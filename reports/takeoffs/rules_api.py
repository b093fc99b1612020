"""The takeoff rules over the API: read, changed with a reason, looked through by version, put back."""

from decimal import Decimal
from types import SimpleNamespace

from django import forms
from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers

from projects.platform.api.bodies import LENGTH, YES_NO, Body, Kind, Unfit
from projects.platform.api.lengths import LengthIn
from projects.platform.api.lists import Listing
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import ApiView, Record
from projects.platform.tenancy import StaleVersion
from reports.documents.takeoff import CATEGORIES
from reports.takeoffs.api import RulesOut
from reports.takeoffs.forms import PER, ROUNDING, RulesForm
from reports.takeoffs.models import RulesVersion
from reports.takeoffs.rules import table_of
from reports.takeoffs.services import Outdated, put_back_rules, save_rules


def _number(value, form):
    if isinstance(value, bool) or not isinstance(value, (int, Decimal, str)):
        raise Unfit("Give a number, or a fraction as text.")
    return str(value)


FRACTION = Kind(_number, None)
SPARE = ("percent", "minimum", "above")


def _rules_body(table):
    """The boxes of the page's form, under the names that the rules themselves have."""
    paths, kinds = {}, {}
    for item in table["items"]:
        paths[f"item_{item['key']}"] = ("items", item["key"], "quantity")
        paths[f"asked_{item['key']}"] = ("items", item["key"], "optional")
        kinds |= {f"item_{item['key']}": FRACTION, f"asked_{item['key']}": YES_NO}
    for spare in table["spares"]:
        paths |= {f"{part}_{spare['key']}": ("spares", spare["key"], part) for part in SPARE}
    for waste in table["waste"]:
        paths[f"waste_{waste['key']}"] = ("waste", waste["key"])
    for name, prefix in (("wire", "wire_"), ("per_device", "feet_")):
        paths |= {f"{prefix}{one['key']}": (name, one["key"]) for one in table[name]}
        kinds |= {f"{prefix}{one['key']}": LENGTH for one in table[name]}
    for name in ("name", "unit", "per", "install", "quantity", "category", "optional"):
        paths[f"new_{name}"] = ("new_item", name)
    kinds = dict.fromkeys(paths, FRACTION) | {
        name: kind for name, kind in kinds.items() if kind is not FRACTION
    }  # fmt: skip
    for name in ("new_name", "new_unit", "new_per", "new_install", "new_category", "new_optional"):
        del kinds[name]
    return Body("TakeoffRulesBody", RulesForm, paths=paths, kinds=kinds)


class RuleItemIn(serializers.Serializer):
    quantity = serializers.CharField(required=False, help_text="4, 1/2 or 2.5")
    optional = serializers.BooleanField(required=False, help_text="Only where it is asked for")


class SpareIn(serializers.Serializer):
    percent = serializers.CharField(required=False)
    minimum = serializers.CharField(required=False)
    above = serializers.CharField(required=False)


class NewItemIn(serializers.Serializer):
    name = serializers.CharField(max_length=80)
    quantity = serializers.CharField()
    unit = serializers.CharField(max_length=12, required=False)
    per = serializers.ChoiceField(choices=[key for key, _words in PER], required=False)
    install = serializers.CharField(required=False)
    category = serializers.ChoiceField(choices=list(CATEGORIES), required=False)
    optional = serializers.BooleanField(required=False)


class TakeoffRulesBody(serializers.Serializer):
    """By the keys of the rules as they are read; what is left out stays."""

    why = serializers.CharField(max_length=400)
    rounding = serializers.ChoiceField(choices=[key for key, _words in ROUNDING], required=False)
    items = serializers.DictField(child=RuleItemIn(), required=False)
    spares = serializers.DictField(child=SpareIn(), required=False)
    waste = serializers.DictField(child=serializers.CharField(), required=False, help_text="Percent")
    wire = serializers.DictField(child=LengthIn(), required=False)
    per_device = serializers.DictField(child=LengthIn(), required=False)
    new_item = NewItemIn(required=False)


class RulesVersionOut(Record):
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = RulesVersion
        fields = ("id", "number", "digest", "why", "back_to", "by", "at")
        read_only_fields = fields


class Rules(ApiView):
    pagination_class = None

    @extend_schema(operation_id="takeoff_rules", responses=RulesOut)
    def get(self, request):
        """What the shop counts by."""
        record, told = _rules(request.shop)
        return self.told(record, told)

    @extend_schema(operation_id="save_takeoff_rules", request=TakeoffRulesBody, responses=RulesOut)
    def patch(self, request):
        """Save a new version, with the reason. Takeoffs that were kept stay as they were."""
        table, number = table_of(request.shop)
        record, _told = _rules(request.shop)
        self.change(
            record,
            _rules_body(table),
            lambda _one: _rules(request.shop)[1],
            lambda form, seen: _saved(
                lambda: save_rules(
                    request.shop, form.changed_table(), seen=seen, why=form.cleaned_data["why"], by=request.member
                ),
            ),
            start=RulesForm.start_from(table, number),
            table=table,
            categories=list(CATEGORIES.items()),
            tape=request.shop.tape,
        )  # fmt: skip
        record, told = _rules(request.shop)
        return self.told(record, told)


def _rules(shop):
    """(what stands for the rules in a tag, the rules as they are read)."""
    table, number = table_of(shop)
    return SimpleNamespace(pk="rules", version=number), {"number": number, "rules": table}


def _saved(save):
    try:
        return save()
    except Outdated as outdated:
        raise StaleVersion(SimpleNamespace(pk="rules", version=outdated.newest), {}) from outdated


class RulesVersions(ApiView):
    listing = Listing(RulesVersion, search=("why",))

    @extend_schema(operation_id="takeoff_rules_versions", responses=RulesVersionOut(many=True))
    def get(self, request):
        """Who changed the rules, when and why."""
        rows = RulesVersion.objects.of(request.shop).defer("body").select_related("by__user")
        return self.paged(rows.order_by("-number"), RulesVersionOut)


class PutBackForm(forms.Form):
    number = forms.IntegerField(min_value=0, max_value=32_767, label="A version's number; 0: as the program came")
    seen = forms.IntegerField(min_value=0, max_value=32_767, label="The number that stands now")


PUT_BACK = Body("PutBackRulesBody", PutBackForm)


class PutBackRules(ApiView):
    pagination_class = None

    @extend_schema(operation_id="put_back_takeoff_rules", request=PUT_BACK.schema(), responses=RulesOut)
    def post(self, request):
        """Count by an earlier version again. It stands as a new one."""
        said = PUT_BACK.fill(request.data).cleaned_data
        known = RulesVersion.objects.of(request.shop).filter(number=said["number"]).exists()
        if said["number"] and not known:
            raise Refused([wrong(("number",), "There is no such version.", "unknown")])
        try:
            put_back_rules(request.shop, said["number"], seen=said["seen"], by=request.member)
        except Outdated as outdated:
            words = "Somebody saved the rules meanwhile. Look at the list again, then choose."
            raise CannotBeDone(words) from outdated
        record, told = _rules(request.shop)
        return self.told(record, told)


urlpatterns = [
    path("takeoff-rules/", Rules.as_view(), name="takeoff_rules"),
    path("takeoff-rules/versions/", RulesVersions.as_view(), name="rules_versions"),
    path("takeoff-rules/put-back/", PutBackRules.as_view(), name="put_back_rules"),
]
