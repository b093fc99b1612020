"""What the owner sees of every room of the shop: the first screen, Rooms, the shop's numbers."""

from django.apps import AppConfig


class OverviewConfig(AppConfig):
    name = "reports.rooms"
    label = "overview"
