"""What a fixture's label and its maker's installation sheet say, and which of it nobody has handed in or read yet."""

import hashlib
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.catalogue.models import InstallSheet
from projects.files import store
from projects.platform.tenancy import save_from

FACTS = ("listing", "rated_ic", "air_sealed", "place", "through_wiring")


@dataclass(frozen=True, slots=True)
class LabelFacts:
    """One type as the packet tells it. said: (what, as the label says it). missing: what to hand in or read, in words.

    sheet: its maker's sheet, or None.
    """

    record: object
    said: tuple[tuple[str, str], ...]
    missing: tuple[str, ...]
    sheet: InstallSheet | None


def facts_of(record) -> LabelFacts:
    """record: with its sheet (select_related). A speaker's label is asked for its listing alone."""
    light = record.kind == "light"
    asked = [(_("Listing"), record.listing, record.listing)]
    if light:
        asked += [
            (_("Insulation contact"), record.rated_ic, record.get_rated_ic_display()),
            (_("Air seal"), record.air_sealed, record.get_air_sealed_display()),
            (_("Places it may hang in"), record.place, record.get_place_display()),
            (_("Wiring through its own box"), record.through_wiring, record.get_through_wiring_display()),
        ]
    sheet = getattr(record, "sheet", None)
    missing = [_("%(fact)s: read it off the label") % {"fact": name} for name, value, _words in asked if not value]
    if sheet is None:
        missing.insert(0, _("The maker's installation sheet: hand it in as PDF"))
    return LabelFacts(record, tuple((name, words) for name, value, words in asked if value), tuple(missing), sheet)


def say_label(record, seen_version, changes):
    """What the label says, and who read it on which day. Raises StaleVersion."""
    return save_from(record, seen_version, changes, at=timezone.now())


def add_sheet(record, pdf, by, *, title):
    """pdf: from projects.files.pdfs.rewritten. It takes the place of an earlier one. Raises QuotaFull."""
    name = store.new_name("pdf")
    try:
        with transaction.atomic():
            type(record).objects.of(record.shop_id).select_for_update().get(pk=record.pk)
            remove_sheet(record)
            return InstallSheet.objects.create(
                shop_id=record.shop_id, fixture_type=record, title=title, file=name, pages=pdf.pages,
                bytes=store.put(record.shop_id, {name: pdf.content}), added_by=by, added_at=timezone.now(),
                digest=hashlib.sha256(pdf.content).hexdigest(),
            )  # fmt: skip
    except BaseException:
        store.remove_files(record.shop_id, [name])
        raise


@transaction.atomic
def remove_sheet(record):
    """Whether there was one."""
    found = InstallSheet.objects.of(record.shop_id).filter(fixture_type=record).first()
    if found is None:
        return False
    found.delete()
    store.release(found.shop_id, found.bytes)
    transaction.on_commit(lambda: store.remove_files(found.shop_id, [found.file]))
    return True


def content_of(sheet) -> bytes | None:
    """The sheet's PDF; None when its file is gone."""
    path = store.path_of(sheet.shop_id, sheet.file)
    return path.read_bytes() if path.exists() else None
