"""The shop's people over the API: who works here, what each may do, and who is asked in."""

from django.http import Http404
from django.urls import path
from django.utils import timezone
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.accounts import services
from projects.accounts.forms import MemberForm, NewPersonForm
from projects.accounts.models import Membership, RoleChoice
from projects.doors import invitations
from projects.doors.models import Invitation
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing, choice, yes_no
from projects.platform.api.problems import Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import ApiView, Record, RecordView

MEMBER = Body("PersonBody", MemberForm)
INVITE = Body("InvitationBody", NewPersonForm)


class PersonOut(Record):
    name = serializers.CharField(source="user.name", read_only=True)
    email = serializers.EmailField(source="user.email", allow_null=True, read_only=True)

    class Meta:
        model = Membership
        fields = ("id", "name", "email", "role", "may_approve", "may_move_marks", "may_quote", "active", "version")
        read_only_fields = fields


class People(ApiView):
    listing = Listing(
        Membership,
        filters={"role": choice("role", RoleChoice.values), "active": yes_no("active")},
        search=("user__name", "user__email"),
    )

    @extend_schema(operation_id="people", responses=PersonOut(many=True))
    def get(self, request):
        """Everybody who works here or did, by name."""
        return self.paged(request.shop.members.select_related("user").order_by("user__name", "pk"), PersonOut)


class Person(RecordView):
    out = PersonOut

    @extend_schema(operation_id="person", responses=PersonOut)
    def get(self, request, member_id):
        """One person and what they may do."""
        return self.answer(_member_of(request.shop, member_id))

    @extend_schema(operation_id="change_person", request=MEMBER.schema(partial=True), responses=PersonOut)
    def patch(self, request, member_id):
        """Change what is given. It holds from their next request; one who does not work here is out at once."""
        member = _member_of(request.shop, member_id)
        return self.edit(
            member, MEMBER, lambda form, seen: _save(request.shop, member_id, form, seen), start=vars(member)
        )


def _member_of(shop, member_id):
    member = shop.members.filter(pk=member_id).select_related("user").first()
    if member is None:
        raise Http404
    return member


def _save(shop, member_id, form, seen):
    changes = {name: value for name, value in form.cleaned_data.items() if name != "version"}
    try:
        return services.change_member(shop, member_id, seen, changes)
    except services.LastOwner as refused:
        raise Refused([{"pointer": "/role", "detail": str(refused), "code": "last_owner"}]) from refused


class InvitationOut(Record):
    made_by = serializers.CharField(source="made_by.user.name", read_only=True)

    class Meta:
        model = Invitation
        fields = (
            "id", "name", "email", "role", "may_approve", "may_move_marks", "may_quote", "made_by", "made_at",
            "ends_at",
        )  # fmt: skip
        read_only_fields = fields


class Invitations(ApiView):
    listing = Listing(Invitation, filters={"role": choice("role", RoleChoice.values)}, search=("name", "email"))

    @extend_schema(operation_id="invitations", responses=InvitationOut(many=True))
    def get(self, request):
        """Who is asked in and has not come yet, the latest first."""
        rows = invitations.standing(request.shop).filter(ends_at__gt=timezone.now())
        return self.paged(rows.select_related("made_by__user").order_by("-pk"), InvitationOut)

    @extend_schema(operation_id="invite", request=INVITE.schema(), responses={201: InvitationOut})
    def post(self, request):
        """Ask somebody in by their e-mail. The letter holds the link; it opens once, for a week, for that address."""
        form = INVITE.fill(request.data)
        try:
            made = invitations.invite(request.shop, by=request.member, **form.cleaned_data)
        except invitations.NotInvited as refused:
            raise Refused([wrong(("email",), str(refused), "not_invited")]) from refused
        return Response(InvitationOut(made).data, status=201)


class InvitationAgain(ApiView):
    @extend_schema(
        operation_id="invitation_again", request=None, responses={202: OpenApiResponse(description="On its way")}
    )
    def post(self, request, invitation_id):
        """Send the same letter once more."""
        if not invitations.send_again(request.shop, invitation_id):
            raise Http404
        return Response(status=202)


class InvitationView(ApiView):
    versioned = False

    @extend_schema(operation_id="take_back_invitation", responses={204: OpenApiResponse(description="Taken back")})
    def delete(self, request, invitation_id):
        """Take it back: its link opens nothing from now on."""
        if not invitations.take_back(request.shop, invitation_id):
            raise Http404
        return Response(status=204)


urlpatterns = [
    path("people/invitations/", Invitations.as_view(), name="invitations"),
    path("people/invitations/<int:invitation_id>/", InvitationView.as_view(), name="invitation"),
    path("people/invitations/<int:invitation_id>/again/", InvitationAgain.as_view(), name="invitation_again"),
    path("people/", People.as_view(), name="people"),
    path("people/<int:member_id>/", Person.as_view(), name="person"),
]
