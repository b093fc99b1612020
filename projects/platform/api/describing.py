"""How an operation is described: what a list may be asked is read off its view. Imported before any view stands."""

from drf_spectacular.openapi import AutoSchema


class Describing(AutoSchema):
    def get_override_parameters(self):
        told = super().get_override_parameters()
        listing = getattr(self.view, "listing", None)
        return [*told, *listing.parameters()] if listing and self.method == "GET" else told

    def map_renderers(self, attribute):
        """Without the one that stands for files: what an operation gives is named where it gives one."""
        return [told for told in super().map_renderers(attribute) if told not in ("*/*", "file")]
