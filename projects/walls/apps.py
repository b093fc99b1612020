from django.apps import AppConfig
from django.db.models.signals import post_migrate


class WallsConfig(AppConfig):
    name = "projects.walls"
    label = "walls"

    def ready(self):
        from projects.walls import install, standing

        standing.register()
        post_migrate.connect(install.after_migrating, sender=self, dispatch_uid="walls")
