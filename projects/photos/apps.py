"""Photos of a room, of a bay or of a mark, and which ones a stage asks for. Knows no layouts and no documents."""

from django.apps import AppConfig


class PhotosConfig(AppConfig):
    name = "projects.photos"
    label = "photos"

    def ready(self):
        from projects.photos import guards  # noqa: F401  it registers what photos a stage asks for
