from django.apps import AppConfig


class LayoutConfig(AppConfig):
    name = "layout"

    def ready(self):
        from layout.services import copy_draft
        from projects.jobs.services import on_copy

        if copy_draft not in on_copy:
            on_copy.append(copy_draft)
