"""What people hand in as files: looked at, written anew, kept within what a shop may keep."""

from django.apps import AppConfig


class FilesConfig(AppConfig):
    name = "projects.files"
    label = "files"
