from django.apps import AppConfig


class LightConfig(AppConfig):
    name = "layout.light"
    label = "light"
