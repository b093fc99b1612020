"""The shop's people over the API: who works here and what each may do. Inviting somebody is another address."""

from django.http import Http404
from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers

from projects.accounts import services
from projects.accounts.forms import MemberForm
from projects.accounts.models import Membership, RoleChoice
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing, choice, yes_no
from projects.platform.api.problems import Refused
from projects.platform.api.views import ApiView, Record

MEMBER = Body("PersonBody", MemberForm)


class PersonOut(Record):
    name = serializers.CharField(source="user.name", read_only=True)
    email = serializers.EmailField(source="user.email", allow_null=True, read_only=True)

    class Meta:
        model = Membership
        fields = ("id", "name", "email", "role", "may_approve", "may_move_marks", "may_quote", "active", "version")
        read_only_fields = fields


def show(member):
    return PersonOut(member).data


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


class Person(ApiView):
    @extend_schema(operation_id="person", responses=PersonOut)
    def get(self, request, member_id):
        """One person and what they may do."""
        member = _member_of(request.shop, member_id)
        return self.told(member, show(member))

    @extend_schema(operation_id="change_person", request=MEMBER.schema(partial=True), responses=PersonOut)
    def patch(self, request, member_id):
        """Change what is given. It holds from their next request; one who does not work here is out at once."""
        member = _member_of(request.shop, member_id)
        stored = self.change(
            member, MEMBER, show, lambda form, seen: _save(request.shop, member_id, form, seen), start=vars(member)
        )
        return self.told(stored, show(stored))


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


urlpatterns = [
    path("people/", People.as_view(), name="people"),
    path("people/<int:member_id>/", Person.as_view(), name="person"),
]
