from django.apps import AppConfig


class AlikeConfig(AppConfig):
    name = "layout.alike"
    label = "alike"

    def ready(self):
        from layout.alike.services import copy_follows
        from projects.jobs.services import on_copy

        if copy_follows not in on_copy:
            on_copy.append(copy_follows)
