from django.apps import AppConfig


class PlatformConfig(AppConfig):
    name = "projects.platform"
    label = "platform"

    def ready(self):
        from projects.platform import among, checks  # noqa: F401
