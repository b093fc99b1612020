from django.apps import AppConfig


class KeepingConfig(AppConfig):
    name = "projects.keeping"
    label = "keeping"

    def ready(self):
        from projects.keeping import health, lists_here, work  # noqa: F401  they register themselves
