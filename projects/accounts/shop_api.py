"""The shop's tape and rules of layout, and the language a person reads, over the API."""

from django import forms
from django.conf import settings
from django.urls import path
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.response import Response

from projects.accounts import services
from projects.accounts.forms import ShopRulesForm
from projects.accounts.models import RULES, Shop
from projects.platform.api.bodies import Body
from projects.platform.api.problems import Refused
from projects.platform.api.views import ApiView, Record, RecordView


class LanguageForm(forms.Form):
    language = forms.ChoiceField(label="The language this person reads", choices=settings.LANGUAGES)


LANGUAGE = Body("LanguageBody", LanguageForm)
RULES_BODY = Body("ShopRulesBody", ShopRulesForm)


class ShopRulesOut(Record):
    class Meta:
        model = Shop
        fields = ("name", "style", "fraction", *RULES, "zero_note", "currency", "version")
        read_only_fields = fields


class ShopRules(RecordView):
    def show(self, shop):
        return ShopRulesOut(shop, context={"tape": shop.tape}).data

    @extend_schema(operation_id="shop_rules", responses=ShopRulesOut)
    def get(self, request):
        """The shop's tape, and the limits its layouts keep."""
        return self.answer(request.shop)

    @extend_schema(operation_id="change_shop_rules", request=RULES_BODY.schema(partial=True), responses=ShopRulesOut)
    def patch(self, request):
        """Change what is given. New layouts keep these limits; issued revisions stay as they were."""
        shop = request.shop
        return self.edit(
            shop, RULES_BODY, lambda form, seen: _save(shop, form, seen), start=vars(shop), tape=shop.tape
        )


def _save(shop, form, seen):
    try:
        return services.change_shop_rules(shop, seen, form.changes)
    except services.CurrencyStands as refused:
        raise Refused([{"pointer": "/currency", "detail": str(refused), "code": "currency_stands"}]) from refused


class OwnLanguage(ApiView):
    @extend_schema(
        operation_id="choose_language",
        request=LANGUAGE.schema(),
        responses={204: OpenApiResponse(description="Chosen; it holds from the next request")},
    )
    def post(self, request):
        """Choose the language you read, wherever you sign in."""
        services.choose_language(request.user, LANGUAGE.fill(request.data).cleaned_data["language"])
        return Response(status=204)


urlpatterns = [
    path("shop/rules/", ShopRules.as_view(), name="shop_rules"),
    path("me/language/", OwnLanguage.as_view(), name="own_language"),
]
