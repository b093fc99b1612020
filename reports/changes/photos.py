"""Photos of a field extra: written anew from their pixels and kept in the shop's own folder. Knows no page.

The rules are those of a plan's picture: nothing that was hidden in the phone's file, its place included, is kept.
"""

import secrets

from django.db import transaction

from layout.editor.pictures import NoPicture, folder_of, rewritten
from reports.changes.models import ExtraPhoto

MOST_PHOTOS = 6
KEPT_SIDE = 1600  # pixels: what is seen on a phone and on half a sheet
QUALITY = 80

__all__ = ["MOST_PHOTOS", "NoPicture", "keep", "keep_all", "look_at", "path_of"]


def look_at(upload):
    """The upload's pixels, upright, no side over KEPT_SIDE. Raises NoPicture."""
    pixels = rewritten(upload)
    pixels.thumbnail((KEPT_SIDE, KEPT_SIDE))
    return pixels


def keep_all(extra, pictures):
    """All or none: a row and a file for each. pictures: as look_at gives them."""
    kept = []
    try:
        with transaction.atomic():
            for pixels in pictures:
                kept.append(keep(extra, pixels))
    except BaseException:
        for photo in kept:
            path_of(photo).unlink(missing_ok=True)
        raise
    return kept


def keep(extra, pixels):
    """A row and a file for one photo; the file goes again when the row can't be written."""
    name = f"{secrets.token_urlsafe(18)}.jpg"
    folder = folder_of(extra.shop)
    folder.mkdir(parents=True, exist_ok=True)
    try:
        pixels.save(folder / name, "JPEG", quality=QUALITY, optimize=True)
        return ExtraPhoto.objects.create(extra=extra, file=name, wide=pixels.width, high=pixels.height)
    except BaseException:
        (folder / name).unlink(missing_ok=True)
        raise


def path_of(photo):
    return folder_of(photo.extra.shop) / photo.file
