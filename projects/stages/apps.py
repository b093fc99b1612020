"""The stages a room goes through, and what holds it back. Knows no layouts and no documents."""

from django.apps import AppConfig


class StagesConfig(AppConfig):
    name = "projects.stages"
    label = "stages"
