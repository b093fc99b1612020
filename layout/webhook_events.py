"""What of layouts is told to other programs."""

from django.utils.translation import gettext_lazy as _

from projects.webhooks.events import came, event

REVISION = {"table": "layout_layoutrevision", "where": "room", "room_id": "room"}
BUILT = {"table": "as_built_asbuilt", "where": "room", "room_id": "room"}


def tell() -> None:
    event("layout.issued", _("a layout was issued"), did="added", **REVISION)
    event("layout.approved", _("a layout was approved"), did="changed", when=came("approved_at"), **REVISION)
    event("mark.built", _("a mark was noted as built"), did="added", **BUILT)
