from django.apps import AppConfig


class WorkConfig(AppConfig):
    name = "projects.work"
    label = "work"
