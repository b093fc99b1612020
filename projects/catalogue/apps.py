from django.apps import AppConfig


class CatalogueConfig(AppConfig):
    name = "projects.catalogue"
    label = "catalogue"
