from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "projects.jobs"
    label = "jobs"
