from django.apps import AppConfig


class PastingConfig(AppConfig):
    name = "projects.pasting"
    label = "pasting"

    def ready(self):
        from projects.pasting import work  # noqa: F401  its kind of work registers itself
