"""Reading a picture somebody handed in: within bounds, by what is in it, written anew from its pixels alone.

Nothing else of the file goes on: not where it was taken, not by which phone, no words hidden in it.
"""

import io
from contextlib import contextmanager

from django.utils.translation import gettext as _
from PIL import ExifTags, Image, ImageFile, UnidentifiedImageError

MOST_BYTES = 10 * 1024 * 1024
MOST_PIXELS = 40_000_000
KEPT_SIDE = 3000  # pixels: a sheet of paper at 200 to the inch or so
FORMATS = ("PNG", "JPEG", "WEBP")
QUALITY = 85
# What turns a picture upright, by its tag of how the camera was held. Source: Exif 2.32, 4.6.4, Orientation.
_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


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
            upright = _upright(found).convert("RGBA")
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, SyntaxError, ValueError) as unread:
        raise NoPicture(_("That file is no PNG, JPEG or WebP picture, or it is damaged. Save it as one.")) from unread
    paper = Image.new("RGB", upright.size, "white")
    paper.paste(upright, mask=upright.getchannel("A"))
    return paper


def _upright(found):
    """Turned as its tag says. Tags that can't be read turn nothing: the pixels are good all the same."""
    try:
        turn = _TURNS.get(found.getexif().get(ExifTags.Base.Orientation))
    except Exception:  # the library trips over damaged tags in whatever way they are damaged
        turn = None
    return found if turn is None else found.transpose(turn)


def as_jpeg(pixels: Image.Image, quality=QUALITY) -> bytes:
    """The picture as a file: what is kept, and all that is kept."""
    written = io.BytesIO()
    pixels.save(written, "JPEG", quality=quality, optimize=True)
    return written.getvalue()
