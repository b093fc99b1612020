"""A picture of a plan to trace over: looked at, written anew, kept in the shop's own folder. Knows no page.

What is uploaded is never served: it is decoded within bounds and a plain picture is written from its pixels alone, so
that nothing hidden in the file, where it was taken included, goes on.
"""

import secrets
from contextlib import contextmanager
from fractions import Fraction
from math import hypot

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

from layout.drawing.layers import Backdrop
from layout.engine.lengths import Distance
from layout.models import PlanPicture
from projects.jobs.models import Room
from projects.platform.tenancy import save_from

MOST_BYTES = 10 * 1024 * 1024
MOST_PIXELS = 40_000_000
KEPT_SIDE = 3000  # pixels: a sheet of paper at 200 to the inch or so
FORMATS = ("PNG", "JPEG", "WEBP")
QUALITY = 85


class NoPicture(Exception):
    """What was uploaded can't be traced over. The message says why, and what to do."""


def folder_of(shop):
    return settings.VAR_DIR / "media" / str(shop.pk)


def path_of(picture: PlanPicture):
    return folder_of(picture.shop) / picture.file


@contextmanager
def _whole_only():
    """Half a picture is refused. Once something was printed, the imaging library would fill it up with gray."""
    before, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = before


def rewritten(upload) -> Image.Image:
    """The upload's pixels, upright and on white, no side longer than KEPT_SIDE. Raises NoPicture."""
    if upload.size > MOST_BYTES:
        raise NoPicture(_("The picture is over 10 MB. Save it smaller, or take a screenshot of it."))
    try:
        with _whole_only(), Image.open(upload, formats=FORMATS) as found:
            if found.width * found.height > MOST_PIXELS:
                raise NoPicture(_("The picture has over 40 million pixels. Save it smaller."))
            found.draft("RGB", (KEPT_SIDE, KEPT_SIDE))
            found.thumbnail((KEPT_SIDE, KEPT_SIDE))
            upright = ImageOps.exif_transpose(found).convert("RGBA")
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, SyntaxError, ValueError) as unread:
        raise NoPicture(_("That file is no PNG, JPEG or WebP picture, or it is damaged. Save it as one.")) from unread
    paper = Image.new("RGB", upright.size, "white")
    paper.paste(upright, mask=upright.getchannel("A"))
    return paper


def keep_picture(room, upload):
    """The room's picture from now on, not yet to scale. Raises NoPicture."""
    pixels = rewritten(upload)
    name = f"{secrets.token_urlsafe(18)}.jpg"
    folder = folder_of(room.shop)
    folder.mkdir(parents=True, exist_ok=True)
    pixels.save(folder / name, "JPEG", quality=QUALITY, optimize=True)
    with transaction.atomic():
        Room.objects.of(room.shop_id).select_for_update().get(pk=room.pk)
        before = picture_of(room)
        remove_picture(room)
        return PlanPicture.objects.create(
            shop_id=room.shop_id, room=room, file=name, wide=pixels.width, high=pixels.height,
            opacity=before.opacity if before else 50,
        )  # fmt: skip


def remove_picture(room):
    found = picture_of(room)
    if found:
        path = path_of(found)
        found.delete()
        transaction.on_commit(lambda: path.unlink(missing_ok=True))


def picture_of(room) -> PlanPicture | None:
    return PlanPicture.objects.of(room.shop_id).filter(room=room).select_related("shop").first()


def set_to_scale(picture, seen_version, changes):
    """Raises StaleVersion."""
    return save_from(picture, seen_version, changes, at=timezone.now())


def backdrop_of(picture: PlanPicture | None, href: str) -> Backdrop | None:
    """Where the picture lies under the ceiling; None while nobody has set it to scale."""
    if picture is None or picture.length is None:
        return None
    pixels = hypot(picture.to_x - picture.from_x, picture.to_y - picture.from_y)
    pixel = Distance(picture.length.nm / Fraction(pixels).limit_denominator(10_000))
    return Backdrop(
        href,
        picture.at_left - pixel * picture.from_x,
        picture.at_far - pixel * picture.from_y,
        pixel * picture.wide,
        pixel * picture.high,
        picture.opacity,
    )
