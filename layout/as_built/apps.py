from django.apps import AppConfig


class AsBuiltConfig(AppConfig):
    name = "layout.as_built"
    label = "as_built"

    def ready(self):
        from layout.as_built import guards  # noqa: F401  registers what stages ask of marks and holes
        from layout.as_built.models import AsBuilt, MarkMove
        from projects.trash.purging import goes_with_room

        goes_with_room(AsBuilt)
        goes_with_room(MarkMove)
