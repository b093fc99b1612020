"""Addresses of the owner's pages."""

from django.urls import path

from projects.webhooks import web

urlpatterns = [
    path("shop/webhooks/", web.webhooks, name="webhooks"),
    path("shop/webhooks/<int:webhook_id>/", web.webhook, name="webhook"),
    path("shop/webhooks/<int:webhook_id>/try/", web.try_webhook, name="try_webhook"),
    path("shop/webhooks/<int:webhook_id>/secret/", web.webhook_secret, name="webhook_secret"),
    path("shop/webhooks/<int:webhook_id>/secret/end/", web.end_webhook_secret, name="end_webhook_secret"),
    path("shop/webhooks/<int:webhook_id>/remove/", web.remove_webhook, name="remove_webhook"),
    path("shop/webhooks/<int:webhook_id>/<int:delivery_id>/again/", web.send_again, name="send_again"),
]
