"""The overview over the API: the first screen's lines, rows of jobs, kept views, red rules, what was billed."""


from django import forms
from django.http import Http404
from django.urls import path, reverse
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs.queries import job_of
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing
from projects.platform.api.money import MoneyOut, WithMoney
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.views import ApiView, PreconditionRequired, Record, Stale
from projects.platform.forms import NameFormField
from projects.platform.permissions import may
from projects.platform.tenancy import StaleVersion
from reports.purchasing.forms import RowsForm, new_slip
from reports.rooms import asked as address
from reports.rooms import views
from reports.rooms.billing import bill, take_back
from reports.rooms.billing_web import BilledForm
from reports.rooms.gather import look
from reports.rooms.job_rows import job_rows, ordered
from reports.rooms.jobs_web import fits, seen_by
from reports.rooms.lines import lines
from reports.rooms.models import LONGEST_QUERY, Billed, SavedView
from reports.rooms.numbers import numbers_of
from reports.rooms.rules import change_rules, rules_of
from reports.rooms.settings_web import RuleForm

SEES_MONEY = "change contracts"


class LineOut(WithMoney, serializers.Serializer):
    """One sentence: who, what, where, by when, why. hours: crew hours to come if it is left."""

    key = serializers.CharField()
    says = serializers.CharField(source="text")
    where = serializers.CharField()
    page = serializers.CharField(source="href")
    hours = serializers.DecimalField(8, 1)
    amount = MoneyOut(allow_null=True)


class Overview(ApiView):
    listing = Listing()

    @extend_schema(operation_id="overview", responses=LineOut(many=True))
    def get(self, request):
        """What a week costs if nobody moves, the most costly line first."""
        _now, _rules, found = seen_by(request)
        return self.paged(lines(found, request.shop.currency), LineOut, member=request.member)


# Rows of jobs


class StepOut(serializers.Serializer):
    stage = serializers.IntegerField(source="number")
    name = serializers.CharField()
    rooms = serializers.IntegerField(source="count")


class HoldOut(serializers.Serializer):
    point = serializers.CharField()
    label = serializers.CharField()
    rooms = serializers.IntegerField()
    on = serializers.DateField(allow_null=True)
    days = serializers.IntegerField(allow_null=True)


class BlockedOut(serializers.Serializer):
    who = serializers.CharField()
    rooms = serializers.IntegerField()


class RedOut(WithMoney, serializers.Serializer):
    rule = serializers.CharField(source="rule.key")
    rooms = serializers.SerializerMethodField(help_text="Ids; empty for what is the job's own")
    days = serializers.IntegerField(allow_null=True)
    by = serializers.DateField(allow_null=True)
    who = serializers.CharField()
    count = serializers.IntegerField()
    hours = serializers.DecimalField(8, 1)
    amount = MoneyOut(allow_null=True)

    def get_rooms(self, red) -> list[int]:
        return [room.id for room in red.rooms]


class JobRowOut(serializers.Serializer):
    id = serializers.IntegerField(source="job.id")
    number = serializers.CharField(source="job.number")
    name = serializers.CharField(source="job.name")
    client = serializers.CharField(source="job.client")
    stages = StepOut(source="steps", many=True)
    next_hold = HoldOut(source="hold", allow_null=True)
    oldest_room = serializers.SerializerMethodField()
    oldest_days = serializers.SerializerMethodField()
    blocked = BlockedOut(many=True)
    stale_cards = serializers.IntegerField()
    not_passed = serializers.IntegerField(source="failed")
    open_rooms = serializers.IntegerField()
    done_percent = serializers.IntegerField()
    red = RedOut(source="reds", many=True)

    def get_oldest_room(self, row) -> int | None:
        return row.oldest[0].id if row.oldest else None

    def get_oldest_days(self, row) -> int | None:
        return row.oldest[1] if row.oldest else None


class OverviewJobs(ApiView):
    listing = Listing()
    questions = ("job", "q", "stage", "sort", "red", "crew")

    @extend_schema(
        operation_id="overview_jobs",
        responses=JobRowOut(many=True),
        parameters=[
            OpenApiParameter("job", int),
            OpenApiParameter("q", str, description="Words of the job's number, name, client, or of whom it waits for"),
            OpenApiParameter("stage", int, description="It has rooms at this stage"),
            OpenApiParameter("red", str, description="The key of a rule that it breaks"),
            OpenApiParameter("crew", int, description="A person who works there this week, by id"),
            OpenApiParameter("sort", str, enum=list(address.JOB_SORTS)),
        ],
    )
    def get(self, request):
        """The shop's jobs under way as rows: where their rooms stand, what comes next, who blocks them, what is red."""
        self.refuse_unknown_questions(request.query_params)
        asked = address.read({**request.query_params.dict(), "view": address.JOBS})
        if asked.notes:
            raise Refused([{"parameter": "", "detail": said, "code": "invalid"} for said in asked.notes])
        now, _rules, found = seen_by(request)
        rows = [row for row in job_rows(now, found) if fits(row, asked)]
        return self.paged(ordered(rows, asked.sort), JobRowOut, member=request.member)


# Kept views


class KeptForm(forms.Form):
    name = NameFormField(label="The view's name", max_length=60)
    query = forms.CharField(label="What stands after the question mark of Rooms", max_length=LONGEST_QUERY)


class SharedForm(forms.Form):
    shared = forms.BooleanField(label="With everybody in the shop", required=False)


VIEW = Body("RoomViewBody", KeptForm)
SHARED = Body("RoomViewSharedBody", SharedForm)


class ViewOut(Record):
    by = serializers.CharField(source="member.user.name", read_only=True)

    class Meta:
        model = SavedView
        fields = ("id", "name", "query", "shared", "by", "version")
        read_only_fields = fields


class Views(ApiView):
    listing = Listing()

    @extend_schema(operation_id="room_views", responses=ViewOut(many=True))
    def get(self, request):
        """Your own kept views, then those shared with everybody."""
        return self.paged(views.views_of(request.member), ViewOut)

    @extend_schema(operation_id="keep_room_view", request=VIEW.schema(defaults=("query",)), responses={201: ViewOut})
    def post(self, request):
        """Keep a way of looking at Rooms; the same name again takes the place of the one before."""
        said = VIEW.fill(request.data).cleaned_data
        try:
            kept = views.keep(request.member, said["name"], said["query"])
        except views.NotKept as refused:
            raise CannotBeDone(str(refused)) from refused
        return Response(ViewOut(kept).data, status=201, headers={"Location": reverse("api:room_views")})


def _own(request, view_id):
    found = views.view_of(request.shop, view_id)
    if found is None:
        raise Http404
    if found.member_id != request.member.pk:
        raise CannotBeDone("That view is somebody else's. Keep one of your own.")
    return found


class ViewView(ApiView):
    pagination_class = None

    @extend_schema(operation_id="room_view", responses=ViewOut)
    def get(self, request, view_id):
        """One view, your own or a shared one."""
        found = next((each for each in views.views_of(request.member) if each.pk == view_id), None)
        if found is None:
            raise Http404
        return self.told(found, ViewOut(found).data)

    @extend_schema(operation_id="drop_room_view", responses={204: None})
    def delete(self, request, view_id):
        """Drop a view of your own; the rooms stay as they are."""
        found = _own(request, view_id)
        self.seen_version(found, ViewOut(found).data)
        views.drop(found)
        return Response(status=204)


class ShareView(ApiView):
    pagination_class = None

    @extend_schema(operation_id="share_room_view", request=SHARED.schema(), responses=ViewOut)
    def post(self, request, view_id):
        """Share a view of your own with everybody in the shop, or take it back."""
        found = _own(request, view_id)
        views.share(found, SHARED.fill(request.data).cleaned_data["shared"])
        return Response(ViewOut(found).data)


# Red rules


class RuleBodyForm(RuleForm):
    """As on the page, without the prefix its boxes have there."""

    def __init__(self, data=None, *, rule, initial=None):
        super().__init__(rule, data)
        self.prefix = None
        self.initial |= initial or {}


RULE = Body("RedRuleBody", RuleBodyForm, example=lambda: {
    name: field for name, field in RuleForm.base_fields.items() if name != "version"
})  # fmt: skip


class RedRuleOut(serializers.Serializer):
    key = serializers.CharField()
    name = serializers.CharField()
    says = serializers.CharField()
    watched = serializers.BooleanField()
    days = serializers.IntegerField(allow_null=True, help_text="null: it has none")
    hours_once = serializers.DecimalField(5, 1)
    hours_each = serializers.DecimalField(5, 1)
    per_light = serializers.BooleanField()
    source = serializers.CharField()
    version = serializers.IntegerField()


def _rules(request):
    money = may(request.member, SEES_MONEY)
    return {key: rule for key, rule in rules_of(request.shop).items() if money or not rule.money}


class RedRules(ApiView):
    listing = Listing()

    @extend_schema(operation_id="red_rules", responses=RedRuleOut(many=True))
    def get(self, request):
        """When something is red: the trade's usual rules with the shop's numbers over them."""
        return self.paged(list(_rules(request).values()), RedRuleOut)


class RedRuleView(ApiView):
    pagination_class = None

    @extend_schema(operation_id="red_rule", responses=RedRuleOut)
    def get(self, request, rule_key):
        """One rule, as the shop has it."""
        rule = self._found(request, rule_key)
        return Response(RedRuleOut(rule).data, headers={"ETag": _tag(rule)})

    @extend_schema(operation_id="change_red_rule", request=RULE.schema(partial=True), responses=RedRuleOut)
    def patch(self, request, rule_key):
        """Change what is given, from the version that was read."""
        rule = self._found(request, rule_key)
        told = RedRuleOut(rule).data
        header = request.headers.get("If-Match")
        if header is None:
            raise PreconditionRequired
        if header != "*" and _tag(rule) not in [each.strip() for each in header.split(",")]:
            raise Stale(request.data, told, _tag(rule))
        start = {name: getattr(rule, name) for name in ("watched", "days", "hours_once", "hours_each")}
        form = RULE.fill(request.data, start=start, version=rule.version, rule=rule)
        if form.changed:
            try:
                change_rules(request.shop, {rule.key: form.changed})
            except StaleVersion as stale:
                now = self._found(request, rule_key)
                raise Stale(request.data, RedRuleOut(now).data, _tag(now)) from stale
        stored = self._found(request, rule_key)
        return Response(RedRuleOut(stored).data, headers={"ETag": _tag(stored)})

    def _found(self, request, rule_key):
        rule = _rules(request).get(rule_key)
        if rule is None:
            raise Http404
        return rule


def _tag(rule):
    return f'"{rule.key}-{rule.version}"'


# Numbers


class AverageOut(serializers.Serializer):
    key = serializers.CharField()
    value = serializers.DecimalField(12, 3, help_text="Without the rooms' conditions")
    plain = serializers.DecimalField(12, 3, help_text="As it was")
    lights = serializers.IntegerField()
    rooms = serializers.IntegerField()


class StayOut(serializers.Serializer):
    stage = serializers.IntegerField()
    middle = serializers.FloatField(help_text="Days; half of the rooms stood shorter")
    average = serializers.FloatField()
    rooms = serializers.IntegerField()


class ShopNumbersOut(serializers.Serializer):
    hours_a_light = AverageOut(source="hours", many=True)
    feet_a_light = AverageOut(source="feet", many=True)
    days_a_stage = StayOut(source="stays", many=True)
    first_time_passed = serializers.IntegerField(source="passed.passed")
    first_time_looked_at = serializers.IntegerField(source="passed.looked_at")


class ShopNumbersView(ApiView):
    pagination_class = None

    @extend_schema(operation_id="shop_numbers", responses=ShopNumbersOut)
    def get(self, request):
        """What the shop's own rooms took: hours and feet a light, days at each stage. No money."""
        return Response(ShopNumbersOut(numbers_of(request.shop)).data)


# What was billed


class BilledBodyForm(BilledForm):
    slip = forms.CharField(max_length=36, required=False, label="A UUID of yours; again, it bills nothing twice")

    def clean_slip(self):
        return RowsForm.clean_slip(self) if self.cleaned_data["slip"] else new_slip()


BILLED = Body("BilledBody", BilledBodyForm)


class BilledOut(Record):
    by = serializers.CharField(source="by.user.name", allow_null=True, default=None, read_only=True)
    taken_back_by = serializers.SerializerMethodField()

    class Meta:
        model = Billed
        fields = ("id", "job", "on", "amount", "words", "undoes", "taken_back_by", "by", "at")
        read_only_fields = fields

    def get_taken_back_by(self, row) -> int | None:
        return row.undone_by.pk if hasattr(row, "undone_by") else None


class JobMoneyOut(serializers.Serializer):
    """contract null: no bid is accepted, and nothing can be said to be complete."""

    unsigned = serializers.IntegerField()
    unsigned_sum = serializers.DecimalField(13, 2)
    contract = serializers.DecimalField(13, 2, allow_null=True)
    completed = serializers.DecimalField(13, 2)
    billed = serializers.DecimalField(13, 2)
    unbilled = serializers.DecimalField(13, 2)
    billed_on = serializers.DateField(allow_null=True)


def _billed_of(job):
    return Billed.objects.of(job.shop_id).filter(job=job).select_related("by__user", "undone_by")


class JobBilled(ApiView):
    listing = Listing(Billed, ordering=("on",))

    @extend_schema(operation_id="job_billed", responses=BilledOut(many=True))
    def get(self, request, job_id):
        """What was billed on a job, the latest day first."""
        return self.paged(_billed_of(job_of(request.shop, job_id)), BilledOut)

    @extend_schema(
        operation_id="bill_job", request=BILLED.schema(defaults=("slip", "words")), responses={201: BilledOut}
    )
    def post(self, request, job_id):
        """Write down a bill. It is never changed; a slip of the pen is taken back by a row against it."""
        job = job_of(request.shop, job_id)
        made = bill(job, **BILLED.fill(request.data).cleaned_data, by=request.member)
        where = reverse("api:job_billed", args=[job.pk])
        return Response(BilledOut(_billed_of(job).get(pk=made.pk)).data, status=201, headers={"Location": where})


class TakeBackBilled(ApiView):
    pagination_class = None

    @extend_schema(operation_id="take_back_billed", request=None, responses=BilledOut)
    def post(self, request, billed_id):
        """Take a bill back: a row stands against it, and both can be read."""
        row = Billed.objects.of(request.shop).filter(pk=billed_id, job__trashed_at=None).select_related("job").first()
        if row is None:
            raise Http404
        if not take_back(row, by=request.member):
            raise CannotBeDone("That was taken back before.")
        return Response(BilledOut(_billed_of(row.job).get(pk=row.pk)).data)


class JobMoney(ApiView):
    pagination_class = None

    @extend_schema(operation_id="job_money", responses=JobMoneyOut)
    def get(self, request, job_id):
        """What is not signed, and what is complete and not billed. A guide for billing, and no account of it."""
        job = job_of(request.shop, job_id)
        seen = look(request.shop, money=True, only=job.pk).by_job.get(job.pk)
        if seen is None:
            raise CannotBeDone("This job is closed: its money is told while it is under way.")
        return Response(JobMoneyOut(seen.money).data)


urlpatterns = [
    path("overview/", Overview.as_view(), name="overview"),
    path("overview/jobs/", OverviewJobs.as_view(), name="overview_jobs"),
    path("room-views/", Views.as_view(), name="room_views"),
    path("room-views/<int:view_id>/", ViewView.as_view(), name="room_view"),
    path("room-views/<int:view_id>/share/", ShareView.as_view(), name="share_room_view"),
    path("red-rules/", RedRules.as_view(), name="red_rules"),
    path("red-rules/<slug:rule_key>/", RedRuleView.as_view(), name="red_rule"),
    path("shop/numbers/", ShopNumbersView.as_view(), name="shop_numbers"),
    path("jobs/<int:job_id>/billed/", JobBilled.as_view(), name="job_billed"),
    path("billed/<int:billed_id>/take-back/", TakeBackBilled.as_view(), name="take_back_billed"),
    path("jobs/<int:job_id>/money/", JobMoney.as_view(), name="job_money"),
]
