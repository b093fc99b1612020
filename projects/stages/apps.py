"""The stages a room goes through, and what holds it back. Knows no layouts and no documents."""

from django.apps import AppConfig


class StagesConfig(AppConfig):
    name = "projects.stages"
    label = "stages"

    def ready(self):
        from projects.stages import own_guards  # noqa: F401  its guards register themselves
        from projects.stages.models import GuardResult, Pass, Said, SideEvent
        from projects.trash.purging import goes_with_room

        for model, path in ((Pass, "room"), (GuardResult, "event__room"), (Said, "room"), (SideEvent, "room")):
            goes_with_room(model, path)
