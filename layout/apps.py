from django.apps import AppConfig


class LayoutConfig(AppConfig):
    name = "layout"

    def ready(self):
        from layout import in_shop_files, recomputing, stage_guards  # noqa: F401  they register themselves
        from layout.following import copy_draft, turn_draft
        from layout.webhook_events import tell
        from layout.whole_job import work  # noqa: F401  registers laying out a job as long work
        from projects.jobs.services import on_copy, on_turn

        if copy_draft not in on_copy:
            on_copy.append(copy_draft)
        if turn_draft not in on_turn:
            on_turn.append(turn_draft)
        tell()
