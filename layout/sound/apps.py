from django.apps import AppConfig


class SoundConfig(AppConfig):
    name = "layout.sound"
    label = "sound"

    def ready(self):
        from layout.sound.following import copy_sound, follow_roles, note_places
        from projects.jobs.services import on_copy, on_turn

        if copy_sound not in on_copy:
            on_copy.append(copy_sound)
        if note_places not in on_turn:  # before the draft is turned, which the part beneath registered
            on_turn.insert(0, note_places)
            on_turn.append(follow_roles)
