"""Who works where on which day. Knows no layouts and no documents."""

from django.apps import AppConfig


class CrewsConfig(AppConfig):
    name = "projects.crews"
    label = "crews"
