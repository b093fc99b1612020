"""Phones that join one job, over the API: codes, who is in, until when, and the end of a lost one.

Joining itself is no address of the API: a phone joins on its page, with the code and a name.
"""

from django.http import Http404
from django.urls import path
from django.utils import timezone
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs.queries import job_of
from projects.joining import queries, services
from projects.joining.forms import USUAL_STAY, CodeForm, StayForm
from projects.joining.models import JoinCode, Joined
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing, yes_no
from projects.platform.api.problems import CannotBeDone
from projects.platform.api.views import ApiView, Record

CODE, STAY = Body("JoinCodeBody", CodeForm), Body("PhoneStayBody", StayForm)


class PhoneOut(Record):
    name = serializers.CharField(source="member.user.name", read_only=True)
    ended_by = serializers.CharField(source="ended_by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = Joined
        fields = ("id", "job", "name", "until", "phone_since", "ended_at", "ended_by", "version")
        read_only_fields = fields


class EndedPhoneOut(PhoneOut):
    left_behind = serializers.SerializerMethodField(help_text="What the phone may still hold")

    class Meta(PhoneOut.Meta):
        fields = (*PhoneOut.Meta.fields, "left_behind")
        read_only_fields = fields

    def get_left_behind(self, joined) -> list[str]:
        return [str(words) for words in services.left_behind(joined.member)]


class CodeOut(Record):
    made_by = serializers.CharField(source="made_by.user.name", read_only=True)
    lets_back_in = serializers.IntegerField(source="again_id", allow_null=True, read_only=True)

    class Meta:
        model = JoinCode
        fields = ("id", "until", "made_by", "lets_back_in", "ends_at", "phones", "wrong")
        read_only_fields = fields


class NewCodeOut(CodeOut):
    digits = serializers.SerializerMethodField(help_text="Ten digits, told this once")

    class Meta(CodeOut.Meta):
        fields = (*CodeOut.Meta.fields, "digits")
        read_only_fields = fields

    def get_digits(self, code) -> str:
        return self.context["digits"]


def show(joined):
    return PhoneOut(joined).data


def _new_code(job, by, until, again=None):
    try:
        made, digits = services.show_code(job, until=until, by=by, again=again)
    except services.TooManyCodes as refused:
        raise CannotBeDone(str(refused)) from refused
    answer = Response(NewCodeOut(made, context={"digits": digits}).data, status=201)
    answer["Cache-Control"] = "no-store"
    return answer


class Phones(ApiView):
    listing = Listing(Joined, filters={"is_in": yes_no("ended_at__isnull")}, ordering=("until", "updated_at"))

    @extend_schema(operation_id="job_phones", responses=PhoneOut(many=True))
    def get(self, request, job_id):
        """Whose phones joined the job, those that are in first."""
        job = job_of(request.shop, job_id)
        rows = Joined.objects.of(request.shop).filter(job=job).select_related("member__user", "ended_by__user")
        return self.paged(rows.order_by("ended_at", "-pk"), PhoneOut)


class Codes(ApiView):
    listing = Listing(JoinCode, ordering=("ends_at",))
    unkept = ("digits",)

    @extend_schema(operation_id="join_codes", responses=CodeOut(many=True))
    def get(self, request, job_id):
        """The codes that let phones in now."""
        job = job_of(request.shop, job_id)
        rows = JoinCode.objects.of(request.shop).filter(job=job, ended_at=None, ends_at__gt=timezone.now())
        return self.paged(rows.select_related("made_by__user").order_by("pk"), CodeOut)

    @extend_schema(operation_id="show_code", request=CODE.schema(defaults=("until",)), responses={201: NewCodeOut})
    def post(self, request, job_id):
        """A new code for the job. Its digits are told this once and kept nowhere."""
        job = job_of(request.shop, job_id)
        form = CODE.fill(request.data, start={"until": timezone.localdate() + USUAL_STAY})
        return _new_code(job, request.member, form.cleaned_data["until"])


class CodeView(ApiView):
    versioned = False

    @extend_schema(operation_id="end_code", responses={204: OpenApiResponse(description="Ended")})
    def delete(self, request, job_id, code_id):
        """End a code: nobody joins by it from now on; who joined stays."""
        job = job_of(request.shop, job_id)
        if not JoinCode.objects.of(request.shop).filter(job=job, pk=code_id).exists():
            raise Http404
        services.end_code(job, code_id)
        return Response(status=204)


class Phone(ApiView):
    @extend_schema(operation_id="job_phone", responses=EndedPhoneOut)
    def get(self, request, job_id, joined_id):
        """One phone, and what of its entries is not here yet as far as anybody knows."""
        joined = queries.joined_of(job_of(request.shop, job_id), joined_id)
        return self.told(joined, EndedPhoneOut(joined).data)

    @extend_schema(operation_id="phone_until", request=STAY.schema(partial=True), responses=PhoneOut)
    def patch(self, request, job_id, joined_id):
        """Another last day on the job."""
        joined = queries.joined_of(job_of(request.shop, job_id), joined_id)
        stored = self.change(
            joined, STAY, show,
            lambda form, seen: services.stay_until(joined, seen, form.cleaned_data["until"]),
            start=vars(joined),
        )  # fmt: skip
        return self.told(stored, show(stored))

    @extend_schema(operation_id="end_phone", responses={204: OpenApiResponse(description="Out")})
    def delete(self, request, job_id, joined_id):
        """End a lost phone, or somebody's stay: its next request is refused. What was entered stays."""
        joined = queries.joined_of(job_of(request.shop, job_id), joined_id)
        return self.take_away(joined, show, lambda seen: services.end_phone(joined, by=request.member))


class PhoneAgain(ApiView):
    unkept = ("digits",)

    @extend_schema(operation_id="phone_again", request=None, responses={201: NewCodeOut})
    def post(self, request, job_id, joined_id):
        """A code for this one person's next phone. The one that is in now is out as soon as it is used."""
        job = job_of(request.shop, job_id)
        joined = queries.joined_of(job, joined_id)
        return _new_code(job, request.member, max(joined.until, timezone.localdate()), again=joined)


JOB = "jobs/<int:job_id>/"

urlpatterns = [
    path(JOB + "phones/", Phones.as_view(), name="job_phones"),
    path(JOB + "phones/<int:joined_id>/", Phone.as_view(), name="job_phone"),
    path(JOB + "phones/<int:joined_id>/code/", PhoneAgain.as_view(), name="phone_again"),
    path(JOB + "join-codes/", Codes.as_view(), name="join_codes"),
    path(JOB + "join-codes/<int:code_id>/", CodeView.as_view(), name="join_code"),
]
