from django.apps import AppConfig


class PlatformConfig(AppConfig):
    name = "projects.platform"
    label = "platform"
