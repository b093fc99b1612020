"""Webhooks over the API: who is told what, secrets that are shown once, and what came of each message."""

from django.urls import path
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing, choice, text, yes_no
from projects.platform.api.problems import CannotBeDone
from projects.platform.api.views import ApiView, Record, RecordView
from projects.webhooks import services
from projects.webhooks.forms import NewWebhookForm, WebhookForm
from projects.webhooks.models import Delivery, State, Webhook

NEW = Body("WebhookBody", NewWebhookForm)
BODY = Body("WebhookChangeBody", WebhookForm)


class WebhookOut(Record):
    events = serializers.ListField(source="event_names", child=serializers.CharField(), read_only=True)
    two_secrets = serializers.SerializerMethodField(help_text="An older secret signs too, until it is ended")

    class Meta:
        model = Webhook
        fields = (
            "id", "name", "url", "events", "on", "off_why", "failed", "failing_since", "rests_until", "two_secrets",
            "version",
        )  # fmt: skip
        read_only_fields = fields

    def get_two_secrets(self, webhook) -> bool:
        return bool(webhook.older_secret_seed)


class SecretOut(serializers.Serializer):
    secret = serializers.CharField(help_text="Shown this once and kept nowhere; null when the request comes again")


class NewWebhookOut(WebhookOut):
    secret = serializers.CharField(help_text="Shown this once and kept nowhere; null when the request comes again")

    class Meta(WebhookOut.Meta):
        fields = (*WebhookOut.Meta.fields, "secret")
        read_only_fields = fields


class DeliveryOut(Record):
    message = serializers.CharField(source="said_id", help_text="The webhook-id, the same each time it is sent")

    class Meta:
        model = Delivery
        fields = (
            "id", "event", "message", "body", "state", "tries", "tried_at", "due", "status", "ms", "why", "answer",
            "created_at",
        )  # fmt: skip
        read_only_fields = fields


def show(webhook):
    return WebhookOut(webhook).data


def _can(do, *args, **given):
    try:
        return do(*args, **given)
    except services.CannotDo as refused:
        raise CannotBeDone(str(refused)) from refused


class Webhooks(ApiView):
    listing = Listing(Webhook, filters={"on": yes_no("on")}, search=("name",))
    unkept = ("secret",)

    @extend_schema(operation_id="webhooks", responses=WebhookOut(many=True))
    def get(self, request):
        """Who is told what happens in the shop."""
        return self.paged(Webhook.objects.of(request.shop).order_by("pk"), WebhookOut)

    @extend_schema(operation_id="make_webhook", request=NEW.schema(), responses={201: NewWebhookOut})
    def post(self, request):
        """Have a host told. Its name is looked up: one that leads into a network of one's own is refused."""
        form = NEW.fill(request.data)
        made, secret = _can(services.make, request.shop, request.member, **form.cleaned_data)
        return Response(show(made) | {"secret": secret}, status=201)


class WebhookView(RecordView):
    out = WebhookOut

    @extend_schema(operation_id="webhook", responses=WebhookOut)
    def get(self, request, webhook_id):
        """One webhook, without its secret."""
        return self.answer(services.of(request.shop, webhook_id))

    @extend_schema(operation_id="change_webhook", request=BODY.schema(partial=True), responses=WebhookOut)
    def patch(self, request, webhook_id):
        """Change what is given. Turned off, what waits is given up; turned on, it begins afresh."""
        found = services.of(request.shop, webhook_id)
        start = vars(found) | {"events": found.event_names}
        return self.edit(found, BODY, lambda form, seen: services.change(found, seen, **form.changes), start=start)

    @extend_schema(operation_id="remove_webhook", responses={204: OpenApiResponse(description="Removed")})
    def delete(self, request, webhook_id):
        """Remove it, with its messages."""
        found = services.of(request.shop, webhook_id)
        return self.remove(found, lambda seen: services.remove(found, seen))


class WebhookTry(ApiView):
    @extend_schema(operation_id="try_webhook", request=None, responses={202: DeliveryOut})
    def post(self, request, webhook_id):
        """Send a message that says nothing but that it came (webhook.tried). It leaves within seconds."""
        sent = _can(services.ping, services.of(request.shop, webhook_id))
        return Response(DeliveryOut(sent).data, status=202)


class WebhookSecret(ApiView):
    versioned = False  # there are one or two, and each call says which it leaves
    unkept = ("secret",)

    @extend_schema(operation_id="new_webhook_secret", request=None, responses={201: SecretOut})
    def post(self, request, webhook_id):
        """Make a second secret. Messages are signed with both until the older is ended."""
        secret = _can(services.renew_secret, services.of(request.shop, webhook_id))
        return Response({"secret": secret}, status=201)

    @extend_schema(operation_id="end_webhook_secret", responses={204: OpenApiResponse(description="It signs no more")})
    def delete(self, request, webhook_id):
        """End the older of two secrets."""
        _can(services.end_older_secret, services.of(request.shop, webhook_id))
        return Response(status=204)


class Deliveries(ApiView):
    listing = Listing(Delivery, filters={"state": choice("state", State.values), "event": text("event")})

    @extend_schema(operation_id="webhook_messages", responses=DeliveryOut(many=True))
    def get(self, request, webhook_id):
        """What was told and what came of it, the newest first. Kept for 30 days."""
        found = services.of(request.shop, webhook_id)
        return self.paged(Delivery.objects.of(request.shop).filter(webhook=found).order_by("-pk"), DeliveryOut)


class DeliveryAgain(ApiView):
    @extend_schema(operation_id="send_again", request=None, responses={202: DeliveryOut})
    def post(self, request, webhook_id, delivery_id):
        """Send the same message once more, under the same webhook-id."""
        sent = _can(services.send_again, services.of(request.shop, webhook_id), delivery_id)
        return Response(DeliveryOut(sent).data, status=202)


urlpatterns = [
    path("webhooks/", Webhooks.as_view(), name="webhooks"),
    path("webhooks/<int:webhook_id>/", WebhookView.as_view(), name="webhook"),
    path("webhooks/<int:webhook_id>/try/", WebhookTry.as_view(), name="try_webhook"),
    path("webhooks/<int:webhook_id>/secret/", WebhookSecret.as_view(), name="webhook_secret"),
    path("webhooks/<int:webhook_id>/messages/", Deliveries.as_view(), name="webhook_messages"),
    path("webhooks/<int:webhook_id>/messages/<int:delivery_id>/again/", DeliveryAgain.as_view(), name="send_again"),
]
