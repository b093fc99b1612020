from django.apps import AppConfig


class DoorsConfig(AppConfig):
    name = "projects.doors"
    label = "doors"

    def ready(self):
        from projects.doors import sessions

        sessions.note_sign_ins()
