"""Reading a picture somebody handed in: within bounds, by what is in it, written anew from its pixels alone.

Nothing else of the file goes on: not where it was taken, not by which phone, no words hidden in it.
"""

import io
from contextlib import contextmanager

from django.utils.translation import gettext as _
from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

MOST_BYTES = 10 * 1024 * 1024
MOST_PIXELS = 40_000_000
KEPT_SIDE = 3000  # pixels: a sheet of paper at 200 to the inch or so
FORMATS = ("PNG", "JPEG", "WEBP")
QUALITY = 85


class NoPicture(Exception):
    """What was handed in can't be taken as a picture. The message says why, and what to do."""


@contextmanager
def _whole_only():
    """Half a picture is refused. Once something was printed, the imaging library would fill it up with gray."""
    before, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = before


def rewritten(upload, side=None) -> Image.Image:
    """The upload's pixels, upright and on white, no side longer than `side` (KEPT_SIDE). Raises NoPicture."""
    side = side or KEPT_SIDE
    if upload.size > MOST_BYTES:
        raise NoPicture(_("The picture is over 10 MB. Save it smaller, or take a screenshot of it."))
    try:
        with _whole_only(), Image.open(upload, formats=FORMATS) as found:
            if found.width * found.height > MOST_PIXELS:
                raise NoPicture(_("The picture has over 40 million pixels. Save it smaller."))
            found.draft("RGB", (side, side))
            found.thumbnail((side, side))
            upright = ImageOps.exif_transpose(found).convert("RGBA")
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, SyntaxError, ValueError) as unread:
        raise NoPicture(_("That file is no PNG, JPEG or WebP picture, or it is damaged. Save it as one.")) from unread
    paper = Image.new("RGB", upright.size, "white")
    paper.paste(upright, mask=upright.getchannel("A"))
    return paper


def as_jpeg(pixels: Image.Image, quality=QUALITY) -> bytes:
    """The picture as a file: what is kept, and all that is kept."""
    written = io.BytesIO()
    pixels.save(written, "JPEG", quality=quality, optimize=True)
    return written.getvalue()
