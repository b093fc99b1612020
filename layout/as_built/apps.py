from django.apps import AppConfig


class AsBuiltConfig(AppConfig):
    name = "layout.as_built"
    label = "as_built"

    def ready(self):
        from layout.as_built import guards  # noqa: F401  registers what stages ask of marks and holes
