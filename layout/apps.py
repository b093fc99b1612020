from django.apps import AppConfig


class LayoutConfig(AppConfig):
    name = "layout"

    def ready(self):
        from layout.services import copy_draft, turn_typed
        from projects.jobs.services import on_copy, on_turn

        if copy_draft not in on_copy:
            on_copy.append(copy_draft)
        if turn_typed not in on_turn:
            on_turn.append(turn_typed)
