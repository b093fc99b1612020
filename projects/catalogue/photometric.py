"""A shop's photometric files: read, kept once each, and what a light type gives by its file or without one.

What a file says is read again from its text, so that a better reader changes every page at once.
"""

import hashlib
import re
import unicodedata
from decimal import Decimal
from functools import lru_cache

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _

from layout.engine.lengths import meters
from layout.engine.light import files, lobe, photometry
from layout.engine.light.values import Emitter, LightError, Opening
from projects.catalogue.models import PhotometricFile, Shape
from projects.platform.names import clean_name
from projects.platform.tenancy import save_from

MOST_BYTES = 2_000_000
MOST_LM, MOST_W = 10_000_000, 100_000
LARGE = 500_000  # characters; a full turn in 1 degree steps has about as many
BARE_NAME = 120
EULUMDAT = "EULUMDAT"


class AlreadyKept(Exception):
    """The shop has this very file. `record`: as it is kept."""

    def __init__(self, record):
        super().__init__(str(record))
        self.record = record


def text_of(given):
    """Bytes of a file as text, in any encoding they may be in. What is no text at all is left for the reader to say."""
    for start, encoding in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"", "utf-8-sig")):
        if given.startswith(start):
            try:
                return given.decode(encoding)
            except UnicodeDecodeError:
                continue
    return given.decode("latin-1")  # older files; every byte is a letter


def light_file(text):
    """The file as it is read. Raises FileError, which tells line, token and what was expected."""
    return _large_file(text) if len(text) > LARGE else _usual_file(text)


@lru_cache(maxsize=16)
def _usual_file(text):
    return files.read(text)


@lru_cache(maxsize=2)  # the most candelas, unfolded from a quarter to the whole turn, take 32 MB
def _large_file(text):
    return files.read(text)


def keep_file(shop, text, *, name="", file_name=""):
    """Read a file and keep it. Nothing is kept of one that can't be read.

    Raises LightError as read, AlreadyKept for the same text however its lines end.
    """
    found = light_file(text)
    digest = digest_of(text)
    kept = PhotometricFile.objects.of(shop).filter(digest=digest).first()
    if kept is not None:
        raise AlreadyKept(kept)
    flux = within(found.photometry.flux_lm, MOST_LM, _("Lumens"))
    label = file_label(file_name)
    record = PhotometricFile(
        shop=shop,
        name=name or _name_from(label),
        file_name=label,
        text=text,
        digest=digest,
        format=found.edition[:20],
        flux_lm=flux,
        beam_deg=_rounded(photometry.beam_deg(found.photometry), 1),
        watts=None if found.watts is None else within(found.watts, MOST_W, _("Watts")),
    )
    record.clean_fields()
    try:
        with transaction.atomic():
            record.save()
    except IntegrityError as twice:
        kept = PhotometricFile.objects.of(shop).filter(digest=digest).first()
        if kept is None:
            raise
        raise AlreadyKept(kept) from twice
    return record


@transaction.atomic
def change_file(record, seen_version, changes):
    """Its name, or that it is no longer offered. Raises StaleVersion."""
    return save_from(record, seen_version, changes, at=timezone.now())


def digest_of(text):
    """SHA-256 of the text with one kind of line end: what was pasted is the file it was copied from."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    return hashlib.sha256(plain.encode("utf-8", "surrogatepass")).hexdigest()


def within(number, most, called):
    if not 0 <= number <= most:
        raise LightError(_("%(what)s: %(number).3g is more than any light has. Check the file's multiplier.") % {
            "what": called, "number": number,
        })  # fmt: skip
    return _rounded(number, 2)


def _rounded(number, places):
    """For the list of files; every figure of the file itself is read from its text."""
    return round(Decimal(repr(float(number))), places)


def file_label(name):
    """What a file was called, to be shown: no folders, nothing hidden, never a way into a file system."""
    return visible(re.split(r"[\\/]", str(name or ""))[-1]).strip(". ")[:BARE_NAME]


def visible(text):
    """The text on one line without what isn't seen: controls, marks that turn the direction of writing."""
    seen = "".join(" " if char == "\t" else char for char in text if char == "\t" or _seen(char))
    return " ".join(seen.split())


def _seen(char):
    return unicodedata.category(char)[0] != "C"


def download_name(record):
    """What the file is called when it is saved again; its ending is what it is read as."""
    stem = record.file_name.rsplit(".", 1)[0].strip(". ") or slugify(record.name) or "photometric"
    return f"{stem}.{'ldt' if record.format == EULUMDAT else 'ies'}"


def _name_from(label):
    try:
        return clean_name(label.rsplit(".", 1)[0])[:80]
    except ValidationError:
        return _("Photometric file")


# What a type gives


def emitter_of(fixture_type) -> Emitter | None:
    """By its file, else a lobe from beam angle and lumens; None: it has neither. Raises LightError."""
    if fixture_type.photometric_id is not None:
        return light_file(fixture_type.photometric.text).photometry
    if not fixture_type.lumens or not fixture_type.beam_deg:
        return None
    return lobe.from_beam(float(fixture_type.beam_deg), float(fixture_type.lumens), opening_of(fixture_type))


def opening_of(fixture_type) -> Opening:
    """What is seen shining from below; a point where the catalog doesn't say how wide."""
    if not fixture_type.aperture:
        return Opening()
    across = meters(fixture_type.aperture)
    return Opening(across, across, round=fixture_type.shape == Shape.ROUND)
