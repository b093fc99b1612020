from django.apps import AppConfig


class TrafficConfig(AppConfig):
    name = "projects.traffic"
    label = "traffic"
