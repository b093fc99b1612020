from django.apps import AppConfig


class WebhooksConfig(AppConfig):
    name = "projects.webhooks"
    label = "webhooks"
