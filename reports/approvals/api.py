"""The office's side of what clients are asked, over the API: links, answers, and that somebody has seen to them."""

from django.conf import settings
from django.http import Http404
from django.urls import path, reverse
from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.response import Response

from layout.queries import latest_revision
from projects.jobs.queries import room_of
from projects.platform.api.bodies import YES_NO, Body, Kind
from projects.platform.api.lengths import LengthOut
from projects.platform.api.lists import Listing, choice, yes_no
from projects.platform.api.problems import CannotBeDone
from projects.platform.api.views import ApiView, Record
from reports.approvals import queries, services
from reports.approvals.contents import kept
from reports.approvals.forms import LinkForm
from reports.approvals.models import Answer, ApprovalLink, Says
from reports.approvals.paper import approval_paper
from reports.papers_api import PaperAlone, described


@extend_schema_field({"type": "boolean", "x-money": True})
class OfMoney(serializers.BooleanField):
    """A question about money is not described to who may not see any."""


COSTS = Kind(YES_NO.read, lambda box, options: OfMoney(help_text=str(box.label), **options))
LINK = Body("ClientLinkBody", LinkForm, kinds={"costs": COSTS})


class ClientAnswerOut(Record):
    """along, across: where a finger was put on the picture, from the zero corner of the ceiling's edge."""

    along = LengthOut(allow_null=True)
    across = LengthOut(allow_null=True)
    seen_to_by = serializers.CharField(source="seen_to_by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = Answer
        fields = ("id", "room", "link", "says", "name", "on", "words", "along", "across", "at", "seen_to_by",
                  "seen_to_at", "version")  # fmt: skip
        read_only_fields = fields


class ClientLinkRow(Record):
    revision = serializers.IntegerField(source="revision.number", read_only=True)
    address = serializers.SerializerMethodField()
    made_by = serializers.CharField(source="made_by.user.name", allow_null=True, default=None, read_only=True)
    over = serializers.SerializerMethodField(help_text="Its last day is past")
    answers = ClientAnswerOut(many=True)

    class Meta:
        model = ApprovalLink
        fields = ("id", "room", "revision", "address", "expires_on", "over", "revoked_at", "digest", "made_by",
                  "created_at", "answers", "version")  # fmt: skip
        read_only_fields = fields

    def get_address(self, link) -> str:
        where = reverse("client_approval", args=[link.token])
        return settings.PUBLIC_URL + where if settings.PUBLIC_URL else self.context["request"].build_absolute_uri(where)

    def get_over(self, link) -> bool:
        return timezone.localdate() > link.expires_on


class ClientLinkOut(ClientLinkRow):
    """contents: what is shown, word for word as it was kept; places in whole millimeters."""

    contents = serializers.SerializerMethodField()

    class Meta(ClientLinkRow.Meta):
        fields = (*ClientLinkRow.Meta.fields, "contents")
        read_only_fields = fields

    def get_contents(self, link) -> dict:
        return kept(link)


class RoomClient(ApiView):
    listing = Listing(ApprovalLink)

    @extend_schema(operation_id="client_links", responses=ClientLinkRow(many=True))
    def get(self, request, room_id):
        """What the client was asked about a room, the newest first, and what came back."""
        room = room_of(request.shop, room_id)
        links = room.approval_links.select_related("revision", "made_by__user")
        links = links.prefetch_related("answers__seen_to_by__user").order_by("-pk")
        return self.paged(links, ClientLinkRow, request=request, tape=room.job.tape)

    @extend_schema(
        operation_id="ask_client",
        request=LINK.schema(defaults=("message", "days", "costs")),
        responses={201: ClientLinkOut},
    )
    def post(self, request, room_id):
        """A link to the newest revision as it is now; earlier links that nobody accepted are closed."""
        room = room_of(request.shop, room_id)
        given = LINK.fill(request.data, start={"days": 30}).cleaned_data
        revision = latest_revision(room)
        if revision is None:
            raise CannotBeDone("No revision is issued. Issue one first, then ask about it.")
        try:
            link = services.make_link(room, revision, by=request.member, **given)
        except services.NotDone as refused:
            raise CannotBeDone(str(refused)) from refused
        where = reverse("api:client_link", args=[room.pk, link.pk])
        return self.told(link, _told(request, link), status=201, headers={"Location": where})


def _told(request, link):
    return ClientLinkOut(link, context={"request": request, "tape": link.room.job.tape}).data


class ClientLink(ApiView):
    pagination_class = None

    @extend_schema(operation_id="client_link", responses=ClientLinkOut)
    def get(self, request, room_id, approval_id):
        """One link, all that it shows, and its answers."""
        link = queries.link_of(room_of(request.shop, room_id), approval_id)
        return self.told(link, _told(request, link))


class CloseClientLink(ApiView):
    pagination_class = None

    @extend_schema(operation_id="close_client_link", request=None, responses=ClientLinkOut)
    def post(self, request, room_id, approval_id):
        """Close a link: whoever opens it reads that it was closed. Closed twice, once is enough."""
        room = room_of(request.shop, room_id)
        services.close_link(queries.link_of(room, approval_id))
        stored = queries.link_of(room, approval_id)
        return self.told(stored, _told(request, stored))


class OfficeCopy(PaperAlone):
    questions = ("paper",)

    @described("client_approval_copy")
    def get(self, request, room_id, approval_id):
        """What was accepted, as the client's own copy shows it."""
        link = queries.link_of(room_of(request.shop, room_id), approval_id)
        accepted = queries.accepted_in(link)
        if accepted is None:
            raise Http404
        return self.printed(lambda: approval_paper(link, kept(link), accepted, link.room.job.tape))


class ClientAnswers(ApiView):
    listing = Listing(
        Answer,
        filters={
            "says": choice("says", Says.values),
            "waits": yes_no("seen_to_at__isnull", "Nobody has seen to it yet"),
        },
        search=("words", "name"),
    )

    @extend_schema(operation_id="client_answers", responses=ClientAnswerOut(many=True))
    def get(self, request):
        """What clients said, over all jobs, the newest first."""
        return self.paged(queries.answers_in(request.shop), ClientAnswerOut, tape=request.shop.tape)


class SeeToAnswer(ApiView):
    pagination_class = None

    @extend_schema(operation_id="see_to_answer", request=None, responses=ClientAnswerOut)
    def post(self, request, answer_id):
        """Somebody in the office has seen to it. The first who said so stands."""
        found = queries.answer_of(request.shop, answer_id)
        services.see_to(found, by=request.member)
        stored = queries.answer_of(request.shop, answer_id)
        return Response(ClientAnswerOut(stored, context={"tape": request.shop.tape}).data)


LINK_AT = "rooms/<int:room_id>/client-links/<int:approval_id>/"

urlpatterns = [
    path("rooms/<int:room_id>/client-links/", RoomClient.as_view(), name="client_links"),
    path(LINK_AT, ClientLink.as_view(), name="client_link"),
    path(LINK_AT + "close/", CloseClientLink.as_view(), name="close_client_link"),
    path(LINK_AT + "copy/", OfficeCopy.as_view(), name="office_copy"),
    path("client-answers/", ClientAnswers.as_view(), name="client_answers"),
    path("client-answers/<int:answer_id>/seen-to/", SeeToAnswer.as_view(), name="see_to_answer"),
]
