"""Photos of a room, of a bay or of a mark, and which ones a stage asks for. Knows no layouts and no documents."""

from django.apps import AppConfig


class PhotosConfig(AppConfig):
    name = "projects.photos"
    label = "photos"

    def ready(self):
        from projects.photos import guards, services  # noqa: F401  guards register what photos a stage asks for
        from projects.photos.models import Photo, PunchItem
        from projects.trash.purging import goes_with_room

        goes_with_room(PunchItem)
        goes_with_room(Photo, before=services.let_go)
