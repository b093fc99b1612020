from django.apps import AppConfig


class TrashConfig(AppConfig):
    name = "projects.trash"
    label = "trash"

    def ready(self):
        from projects.trash import belongings  # noqa: F401
