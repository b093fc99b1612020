"""Packets of a job, put together as long work: what goes to site, and what is handed over at the end."""

from django.apps import AppConfig


class CloseOutConfig(AppConfig):
    name = "reports.close_out"
    label = "close_out"

    def ready(self):
        from projects.trash.purging import goes_with_job
        from reports.close_out import services, work  # noqa: F401  kinds of work register themselves
        from reports.close_out.models import Packet, Warranty

        goes_with_job(Packet, before=services.let_go)
        goes_with_job(Warranty)
