"""The API's first answer: who is asking, in which shop, and what they may do there."""

from django.urls import path
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.response import Response

from projects.accounts import people_api, shop_api
from projects.accounts.models import RoleChoice, StyleChoice
from projects.platform.api.views import ApiView
from projects.platform.permissions import ACTIONS, PERSONAL, SCOPES, may


class OwnToken(serializers.Serializer):
    name = serializers.CharField()
    scopes = serializers.ListField(source="scope_names", child=serializers.ChoiceField(choices=list(SCOPES)))
    expires_at = serializers.DateTimeField(allow_null=True)


class Me(serializers.Serializer):
    name = serializers.CharField(source="user.name")
    email = serializers.EmailField(source="user.email", allow_null=True)
    role = serializers.ChoiceField(choices=RoleChoice.choices)
    shop = serializers.CharField(source="shop.name")
    lengths_in = serializers.ChoiceField(source="shop.style", choices=StyleChoice.choices)
    may = serializers.SerializerMethodField()
    token = serializers.SerializerMethodField()

    def get_may(self, member) -> list[str]:
        return [action for action in (*ACTIONS, *PERSONAL) if may(member, action)]


    @extend_schema_field(OwnToken(allow_null=True))
    def get_token(self, member):
        """The token this was asked with; null in a signed-in browser."""
        token = self.context["token"]
        return OwnToken(token).data if token else None


class MeView(ApiView):
    @extend_schema(operation_id="me", responses=Me)
    def get(self, request):
        """Who this is, and what they may do in this shop."""
        return Response(Me(request.member, context={"token": request.auth}).data)


urlpatterns = [path("me/", MeView.as_view(), name="me"), *shop_api.urlpatterns, *people_api.urlpatterns]
