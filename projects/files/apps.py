"""What people hand in as files: looked at, written anew, kept within what a shop may keep."""

from django.apps import AppConfig


class FilesConfig(AppConfig):
    name = "projects.files"
    label = "files"

    def ready(self):
        from projects.files.store import QuotaFull
        from projects.platform.api.problems import TOLD_AS, NoRoom

        TOLD_AS[QuotaFull] = NoRoom
