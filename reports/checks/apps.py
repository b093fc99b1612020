"""Checklist runs: what was answered of the rough-in checklist, by whom and when."""

from django.apps import AppConfig


class ChecksConfig(AppConfig):
    name = "reports.checks"
    label = "checks"

    def ready(self):
        from projects.photos.services import stands_on
        from projects.trash.purging import goes_with_job, goes_with_room
        from reports.checks import guards  # noqa: F401
        from reports.checks.models import Answer, RoomKnown, Run
        from reports.checks.services import stands_on_it

        stands_on.append(stands_on_it)
        goes_with_room(Answer, "run__room")
        goes_with_room(Run)
        goes_with_room(RoomKnown)
        goes_with_job(Answer, "run__job")
        goes_with_job(Run)
