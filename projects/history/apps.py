from django.apps import AppConfig
from django.db.backends.signals import connection_created
from django.db.models.signals import post_migrate, pre_migrate


class HistoryConfig(AppConfig):
    name = "projects.history"
    label = "history"

    def ready(self):
        from projects.history import install
        from projects.history.telling import of_projects

        of_projects()
        connection_created.connect(teach, dispatch_uid="history")
        pre_migrate.connect(install.before_migrating, sender=self, dispatch_uid="history")
        post_migrate.connect(install.after_migrating, sender=self, dispatch_uid="history")


def teach(sender, connection, **more):
    """Each new connection learns what the triggers ask it."""
    from projects.history import postgres, sqlite

    if connection.vendor == "sqlite":
        sqlite.teach(connection.connection)
    elif connection.vendor == "postgresql":
        if not any(isinstance(each, postgres.Teller) for each in connection.execute_wrappers):
            connection.execute_wrappers.append(postgres.Teller(connection))
