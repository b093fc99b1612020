"""A shop's lists over the API: read as one object, tried out, and taken in all or nothing."""

from django.urls import path
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.response import Response

from projects.keeping import lists
from projects.platform.api import problems
from projects.platform.api.rows import unknown
from projects.platform.api.views import ApiView


class Outdated(problems.CannotBeDone):
    status_code = 409
    default_code = "conflict"
    default_detail = "The file, or what the shop has of it, is not what was tried out. Try it out again, then send."


@extend_schema_field(
    {
        "type": "object",
        "properties": {
            "format": {"type": "integer", "enum": [lists.FORMAT]},
            "what": {"type": "string", "enum": [lists.WHAT]},
        },
        "required": ["format", "what"],
        "additionalProperties": True,
        "description": "As it is read here: a section by its name. One that is left out stays as it is.",
    }
)
class ListsField(serializers.JSONField):
    """A file of lists. What is in it is held to its rules by the sections themselves."""


class ShopListsOut(serializers.Serializer):
    lists = ListsField()


class TryListsBody(serializers.Serializer):
    lists = ListsField()


class TakeListsBody(TryListsBody):
    seen = serializers.CharField(max_length=64, help_text="As the tried-out file was answered with")


class ListFieldOut(serializers.Serializer):
    name = serializers.CharField()
    before = serializers.CharField(allow_null=True)
    after = serializers.CharField(allow_null=True)


class ListChangeOut(serializers.Serializer):
    section = serializers.CharField()
    key = serializers.CharField(help_text="The short name it is known by; empty for what a shop has once")
    name = serializers.CharField()
    added = serializers.BooleanField()
    differs = ListFieldOut(many=True)


class ListReportOut(serializers.Serializer):
    seen = serializers.CharField(help_text="Stands for the file and for what the shop has of it now")
    same = serializers.IntegerField(help_text="How many things are the same already")
    notes = serializers.ListField(child=serializers.CharField())
    changes = ListChangeOut(many=True)


PRICES = OpenApiParameter("prices", OpenApiTypes.BOOL, description="true: with prices and what an hour costs")


class ShopLists(ApiView):
    questions = ("prices",)
    pagination_class = None

    @extend_schema(operation_id="shop_lists", parameters=[PRICES], responses=ShopListsOut)
    def get(self, request):
        """The shop's catalog, rules and texts, for another shop: no people, no jobs, no prices unless asked for."""
        self.refuse_unknown_questions(request.query_params)
        asked = request.query_params.get("prices", "false")
        if asked not in ("true", "false"):
            raise problems.Refused([{"parameter": "prices", "detail": "true or false.", "code": "invalid"}])
        return Response({"lists": lists.told(request.shop, prices=asked == "true")})

    @extend_schema(operation_id="take_lists_in", request=TakeListsBody, responses=ListReportOut)
    def post(self, request):
        """Take lists in, all of it or nothing. Send `seen` as trying them out answered; 409 when either changed."""
        given = _given(request, TakeListsBody)
        if not isinstance(given["seen"], str):
            raise problems.Refused([{"pointer": "/seen", "detail": "Give text, in quotes.", "code": "invalid"}])
        return _told(lambda: lists.take_in(request.shop, given["lists"], by=request.member, seen=given["seen"]))


class TriedShopLists(ApiView):
    keyed = False

    @extend_schema(operation_id="try_lists", request=TryListsBody, responses=ListReportOut)
    def post(self, request):
        """What taking lists in would add and change. Nothing is written."""
        given = _given(request, TryListsBody)
        return _told(lambda: lists.try_out(request.shop, given["lists"], by=request.member))


def _given(request, body):
    """The body's members, each there and none more. Raises Refused."""
    given, names = request.data, body().fields.keys()
    if not isinstance(given, dict):
        raise problems.Refused([{"pointer": "", "detail": "Send one JSON object.", "code": "invalid"}])
    errors = [unknown((name,)) for name in given if name not in names]
    errors += [
        {"pointer": f"/{name}", "detail": "This has to be there.", "code": "required"}
        for name in names
        if name not in given
    ]
    if errors:
        raise problems.Refused(errors)
    return given


def _told(do):
    try:
        report = do()
    except lists.Outdated as outdated:
        raise Outdated from outdated
    except lists.Refused as refused:
        raise problems.Refused(
            [one | {"pointer": f"/lists{one['pointer']}"} for one in refused.errors]
        ) from refused
    changes = [
        {
            "section": one.section, "key": one.key, "name": one.name, "added": one.added,
            "differs": [dict(zip(("name", "before", "after"), _texts(each), strict=True)) for each in one.fields],
        }
        for one in report.changes
    ]  # fmt: skip
    return Response({"seen": report.seen, "same": report.same, "notes": report.notes, "changes": changes})


def _texts(field):
    return [value if value is None or isinstance(value, str) else str(value) for value in field]


urlpatterns = [
    path("shop/lists/", ShopLists.as_view(), name="shop_lists"),
    path("shop/lists/tried/", TriedShopLists.as_view(), name="shop_lists_tried"),
]
