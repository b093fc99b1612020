from django.apps import AppConfig
from django.db.backends.signals import connection_created
from django.db.models.signals import post_migrate, pre_migrate


class HistoryConfig(AppConfig):
    name = "projects.history"
    label = "history"

    def ready(self):
        from projects.history import install, sealing
        from projects.history.telling import of_projects
        from projects.keeping.hooks import before_backup
        from projects.work.worker import NOW_AND_THEN

        of_projects()
        NOW_AND_THEN.append(sealing.when_it_is_time)
        before_backup(sealing.before_backup)
        connection_created.connect(teach, dispatch_uid="history")
        pre_migrate.connect(install.before_migrating, sender=self, dispatch_uid="history")
        post_migrate.connect(install.after_migrating, sender=self, dispatch_uid="history")


def teach(sender, connection, **more):
    """Each new connection learns what the triggers ask it."""
    from projects.history import postgres, sqlite

    if connection.vendor == "sqlite":
        sqlite.teach(connection.connection)
    elif not any(isinstance(each, postgres.Teller) for each in connection.execute_wrappers):
        connection.execute_wrappers.append(postgres.Teller(connection))
