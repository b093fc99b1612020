"""A person's own tokens over the API: made, shown once, ended. A token makes none that may do more than itself."""

from django.http import Http404
from django.urls import path
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.accounts import services
from projects.accounts.forms import NewTokenForm
from projects.accounts.models import ApiToken
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing, yes_no
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import ApiView, Record
from projects.platform.permissions import SCOPES

NEW = Body("TokenBody", NewTokenForm)
STARTS = {"scopes": ["read"], "days": 90}


class TokenOut(Record):
    scopes = serializers.ListField(
        source="scope_names", child=serializers.ChoiceField(choices=list(SCOPES)), read_only=True
    )

    class Meta:
        model = ApiToken
        fields = ("id", "name", "scopes", "created_at", "expires_at", "last_used_at", "ended_at")
        read_only_fields = fields


class NewToken(TokenOut):
    secret = serializers.CharField(help_text="Shown this once and kept nowhere; null when the request comes again")

    class Meta(TokenOut.Meta):
        fields = (*TokenOut.Meta.fields, "secret")
        read_only_fields = fields


class Tokens(ApiView):
    listing = Listing(ApiToken, filters={"in_use": yes_no("ended_at__isnull")}, ordering=("created_at",))
    unkept = ("secret",)

    @extend_schema(operation_id="tokens", responses=TokenOut(many=True))
    def get(self, request):
        """Your own tokens in this shop, the newest first."""
        return self.paged(request.member.tokens.order_by("-pk"), TokenOut)

    @extend_schema(operation_id="make_token", request=NEW.schema(defaults=STARTS), responses={201: NewToken})
    def post(self, request):
        """Make a token. It may do what its scopes say, and never more than you or the token that makes it."""
        form = NEW.fill(request.data, start=STARTS)
        try:
            token, secret = services.make_token(request.member, **form.cleaned_data, within=request.auth)
        except services.TooManyTokens as refused:
            raise CannotBeDone(str(refused)) from refused
        except services.WiderThanItself as refused:
            raise Refused([wrong(("scopes",), str(refused), "wider")]) from refused
        return Response(TokenOut(token).data | {"secret": secret}, status=201)


class Token(ApiView):
    versioned = False  # a token is never changed, only ended

    @extend_schema(operation_id="token", responses=TokenOut)
    def get(self, request, token_id):
        """One of your own tokens, without its secret."""
        return Response(TokenOut(self._own(token_id)).data)

    @extend_schema(operation_id="end_token", responses={204: OpenApiResponse(description="It opens nothing any more")})
    def delete(self, request, token_id):
        """End it, from the next request on."""
        if not services.end_token(request.member, self._own(token_id).pk):
            raise CannotBeDone("This token was ended before.")
        return Response(status=204)

    def _own(self, token_id):
        token = self.request.member.tokens.filter(pk=token_id).first()
        if token is None:
            raise Http404
        return token


urlpatterns = [
    path("tokens/", Tokens.as_view(), name="tokens"),
    path("tokens/<int:token_id>/", Token.as_view(), name="token"),
]
