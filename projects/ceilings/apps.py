from django.apps import AppConfig


class CeilingsConfig(AppConfig):
    name = "projects.ceilings"
    label = "ceilings"

    def ready(self):
        from projects.ceilings.services import copy_ceiling
        from projects.jobs.services import on_copy

        if copy_ceiling not in on_copy:
            on_copy.append(copy_ceiling)
