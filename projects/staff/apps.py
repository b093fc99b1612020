from django.apps import AppConfig


class StaffConfig(AppConfig):
    name = "projects.staff"
    label = "staff"
