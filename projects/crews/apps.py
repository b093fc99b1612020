"""Who works where on which day. Knows no layouts and no documents."""

from django.apps import AppConfig


class CrewsConfig(AppConfig):
    name = "projects.crews"
    label = "crews"

    def ready(self):
        from projects.crews.models import CrewDay
        from projects.trash.purging import goes_with_job, goes_with_room

        goes_with_room(CrewDay)
        goes_with_job(CrewDay)
