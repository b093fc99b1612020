"""What a job's takeoff costs over the API, and a figure put in where no price is known. As on its page."""

from django import forms
from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.services import NotAsIssued
from projects.jobs.queries import job_of
from projects.platform.api.bodies import Body
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import ApiView
from reports.estimating.pricing import LABOR, PricingError
from reports.job_prices import plug, priced_job
from reports.prices.api import PriceOut
from reports.prices.forms import PlugForm
from reports.takeoffs.counting import MustBeCounted


class KeyedPlugForm(PlugForm):
    key = forms.CharField(max_length=100, label="The line's key, of those in `missing`")


PLUG = Body("PlugBody", KeyedPlugForm)


class BoughtOut(serializers.Serializer):
    size = serializers.CharField(help_text="Pieces, or feet (meters) of cable")
    packs = serializers.IntegerField()
    price = serializers.DecimalField(12, 2)
    cost = serializers.DecimalField(13, 2)


class PricedLineOut(serializers.Serializer):
    """price_source empty: no price is known. plugged_by: whose figure it is, an allowance."""

    key = serializers.CharField()
    name = serializers.CharField()
    category = serializers.CharField()
    unit = serializers.CharField()
    order = serializers.IntegerField()
    bought = BoughtOut(many=True)
    taxable = serializers.BooleanField()
    cost = serializers.DecimalField(13, 2)
    tax = serializers.DecimalField(13, 2)
    labor = serializers.DecimalField(13, 2)
    price_source = serializers.CharField()
    plugged_by = serializers.CharField()


class JobPricesOut(serializers.Serializer):
    """missing: keys of lines without a price; they cost nothing here. rates_entered false: no wage, no tax."""

    currency = serializers.CharField()
    material = serializers.DecimalField(13, 2)
    tax = serializers.DecimalField(13, 2)
    labor = serializers.DecimalField(13, 2)
    rates_entered = serializers.BooleanField(source="rates.entered")
    missing = serializers.ListField(child=serializers.CharField())
    lines = PricedLineOut(many=True)


class JobPrices(ApiView):
    pagination_class = None

    @extend_schema(operation_id="job_prices", responses=JobPricesOut)
    def get(self, request, job_id):
        """A job's takeoff with what it costs, line by line."""
        priced, _by_length = _priced(job_of(request.shop, job_id))
        return Response(JobPricesOut(priced).data)

    @extend_schema(
        operation_id="plug_price",
        request=PLUG.schema(defaults=("pieces", "length", "plugged_by")),
        responses={201: PriceOut},
    )
    def post(self, request, job_id):
        """Put a figure in for a line of this takeoff: an allowance, with a name, until a price comes in."""
        job = job_of(request.shop, job_id)
        start = {"plugged_by": request.member.user.name}
        form = PLUG.fill(request.data, start=start, tape=job.tape)
        priced, _by_length = _priced(job)
        lines = {line.key: line for line in priced.lines if line.category != LABOR}
        made = plug(request, job, form, lines.get(form.cleaned_data["key"]))
        if made is None:
            raise Refused(
                [wrong((name,), " ".join(map(str, said)), "required") for name, said in form.errors.items()]
            )
        return Response(PriceOut(made, context={"tape": request.shop.tape}).data, status=201)


def _priced(job):
    try:
        return priced_job(job)
    except (MustBeCounted, NotAsIssued, PricingError) as refused:
        raise CannotBeDone(str(refused)) from refused


urlpatterns = [path("jobs/<int:job_id>/prices/", JobPrices.as_view(), name="job_prices")]
