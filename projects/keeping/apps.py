from django.apps import AppConfig


class KeepingConfig(AppConfig):
    name = "projects.keeping"
    label = "keeping"
