from django.apps import AppConfig


class WorkConfig(AppConfig):
    name = "projects.work"
    label = "work"

    def ready(self):
        from projects.work import signs  # noqa: F401  it tells health of the queue
