"""Figures over the API: the calculator's list, and one figure reckoned. Money only for who may see it."""

from decimal import Decimal

from django.http import Http404
from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.platform.api.lists import Listing
from projects.platform.api.problems import Refused
from projects.platform.api.rows import unknown, wrong
from projects.platform.api.views import ApiView
from projects.platform.permissions import may
from reports.figures.figure import FigureError
from reports.figures.registry import FIGURES, listed
from reports.figures.web import OF_MONEY


class ListedFigureOut(serializers.Serializer):
    """As `manage.py reckon --list` has it: what it takes, what it gives, the rule and its source."""

    figure = serializers.CharField()
    what = serializers.CharField()
    inputs = serializers.ListField(child=serializers.DictField())
    results = serializers.ListField(child=serializers.DictField())
    rule = serializers.CharField()
    source = serializers.CharField()


class FigureBody(serializers.Serializer):
    inputs = serializers.DictField(help_text="By their names, as the figure lists them")


class ReckonedOut(serializers.Serializer):
    figure = serializers.CharField()
    result = serializers.DictField()


def _seen_by(member):
    money = may(member, "see prices")
    return {name: one for name, one in FIGURES.items() if money or one.group not in OF_MONEY}


class Figures(ApiView):
    listing = Listing()

    @extend_schema(operation_id="figures", responses=ListedFigureOut(many=True))
    def get(self, request):
        """Every figure with what it takes and gives."""
        seen = _seen_by(request.member)
        return self.paged([one for one in listed() if one["figure"] in seen])


class FigureView(ApiView):
    pagination_class = None
    keyed = False  # it reckons, and keeps nothing

    @extend_schema(operation_id="figure", responses=ListedFigureOut)
    def get(self, request, figure_name):
        """One figure: what it takes and gives, its rule and source."""
        self.found(figure_name)
        return Response(next(one for one in listed() if one["figure"] == figure_name))

    @extend_schema(operation_id="reckon", request=FigureBody, responses=ReckonedOut)
    def post(self, request, figure_name):
        """Reckon it from its inputs."""
        one, sent = self.found(figure_name), request.data
        if not isinstance(sent, dict) or not isinstance(sent.get("inputs"), dict):
            raise Refused([wrong(("inputs",), "Give the inputs by name, in one object.", "required")])
        if extra := [name for name in sent if name != "inputs"]:
            raise Refused([unknown((name,)) for name in extra])
        try:
            result = one.answer(_as_numbers(sent["inputs"]))
        except FigureError as refused:
            where = ("inputs", refused.field) if refused.field in {each.name for each in one.inputs} else ("inputs",)
            raise Refused([wrong(where, str(refused))]) from refused
        return Response({"figure": figure_name, "result": result})

    def found(self, figure_name):
        one = _seen_by(self.request.member).get(figure_name)
        if one is None:
            raise Http404
        return one


def _as_numbers(value):
    """As the figures' own list has them: a number with a point is a float."""
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, dict):
        return {name: _as_numbers(inside) for name, inside in value.items()}
    return [_as_numbers(inside) for inside in value] if isinstance(value, list) else value


urlpatterns = [
    path("figures/", Figures.as_view(), name="figures"),
    path("figures/<str:figure_name>/", FigureView.as_view(), name="figure"),
]
