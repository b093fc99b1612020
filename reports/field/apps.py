"""The crew's phone: the day's rooms with and without signal."""

from django.apps import AppConfig


class FieldConfig(AppConfig):
    name = "reports.field"
    label = "field"
