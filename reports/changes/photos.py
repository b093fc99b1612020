"""Photos of a field extra: written anew from their pixels and kept in the shop's own folder. Knows no page."""

from django.db import transaction

from projects.files import store
from projects.files.pictures import NoPicture, as_jpeg, rewritten
from reports.changes.models import ExtraPhoto

MOST_PHOTOS = 6
KEPT_SIDE = 1600  # pixels: what is seen on a phone and on half a sheet
QUALITY = 80

__all__ = ["MOST_PHOTOS", "NoPicture", "keep", "keep_all", "look_at", "path_of"]


def look_at(upload):
    """The upload's pixels, upright, no side over KEPT_SIDE. Raises NoPicture."""
    return rewritten(upload, side=KEPT_SIDE)


def keep_all(extra, pictures):
    """All or none: a row and a file for each. pictures: as look_at gives them. Raises QuotaFull."""
    kept = []
    try:
        with transaction.atomic():
            for pixels in pictures:
                kept.append(keep(extra, pixels))
    except BaseException:
        store.remove_files(extra.shop_id, [photo.file for photo in kept])
        raise
    return kept


@transaction.atomic
def keep(extra, pixels):
    """A row and a file for one photo; the file goes again when the row can't be written. Raises QuotaFull."""
    name = store.new_name("jpg")
    store.put(extra.shop_id, {name: as_jpeg(pixels, QUALITY)})
    try:
        return ExtraPhoto.objects.create(extra=extra, file=name, wide=pixels.width, high=pixels.height)
    except BaseException:
        store.remove_files(extra.shop_id, [name])
        raise


def path_of(photo):
    return store.path_of(photo.extra.shop_id, photo.file)
