"""Inspection visits: what the inspector saw, room by room, and what was put right."""

from django.apps import AppConfig


class InspectionsConfig(AppConfig):
    name = "reports.inspections"
    label = "inspections"

    def ready(self):
        from projects.photos.services import stands_on
        from projects.trash.purging import goes_with_job, goes_with_room
        from reports.inspections import guards  # noqa: F401
        from reports.inspections.models import Correction, RoomResult, Visit
        from reports.inspections.services import stands_on_it

        stands_on.append(stands_on_it)
        goes_with_room(Correction, "result__room")
        goes_with_room(RoomResult)
        goes_with_job(Correction, "result__visit__job")
        goes_with_job(RoomResult, "visit__job")
        goes_with_job(Visit)
