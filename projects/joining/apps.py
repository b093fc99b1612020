"""A crew member's phone joins one job by a code, until a day. Knows no layouts and no documents."""

from django.apps import AppConfig


class JoiningConfig(AppConfig):
    name = "projects.joining"
    label = "joining"
