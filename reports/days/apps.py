"""The shop's days: who works where, what is due when, calendars, the morning's letter, handing over a job."""

from django.apps import AppConfig


class DaysConfig(AppConfig):
    name = "reports.days"
    label = "days"

    def ready(self):
        from projects.history.recorded import quiet

        quiet("days.CalendarFeed", "last_read_at")
