"""Keeping photos, taking them back, and closing punch items. Each in one transaction."""

import datetime as dt
import hashlib
from collections.abc import Callable
from functools import partial

from django.db import IntegrityError, transaction
from django.db.models import F, ProtectedError
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.files import pictures, store
from projects.files.pictures import NoPicture
from projects.files.store import QuotaFull
from projects.photos.models import KEPT_SIDE, SMALL_SIDE, Photo, PunchItem
from projects.platform.tenancy import save_from

__all__ = ["NoPicture", "QuotaFull", "keep", "keep_all", "keep_pixels"]

QUALITY = 80
KEPT_DAYS = 30  # a photo taken back can be put back for so long


class CannotBeDone(Exception):
    """It can't be done as it stands. The message says why, and what to do."""


def keep(room, upload, *, by, purpose="", mark="", bay=None, caption="", taken_at=None, key="") -> Photo:
    """The upload as a photo of this room, written anew. With a key that was sent before: what was kept then.

    taken_at: when the phone says it was taken, a remark; never later than now. Raises NoPicture, QuotaFull.
    """
    if found := _kept_under(room.shop_id, key):
        return found
    pixels = pictures.rewritten(upload, side=KEPT_SIDE)
    return keep_pixels(room, pixels, by=by, purpose=purpose, mark=mark, bay=bay, caption=caption, taken_at=taken_at,
                       key=key)  # fmt: skip


def keep_pixels(room, pixels, *, by, key="", **about) -> Photo:
    """As keep, from a picture that was read already. Raises QuotaFull."""
    return _stored(*_ready(room, pixels, by=by, key=key, **about))


def keep_all(room, pictures, *, by, under, **about) -> list[Photo]:
    """Each as keep_pixels does, all of them or none. under: what a picture sent again was sent under before, whereupon
    it is not kept twice; another picture under it is. Raises QuotaFull.
    """
    ready = [_ready(room, pixels, by=by, key=_key(room, under, pixels), **about) for pixels in pictures]
    try:
        with transaction.atomic():
            return [_stored(files, photo) for files, photo in ready]
    except BaseException:
        for files, _photo in ready:
            store.remove_files(room.shop_id, files)
        raise


def _key(room, under, pixels):
    return hashlib.sha256(f"{room.pk} {under} {pixels.size} ".encode() + pixels.tobytes()).hexdigest()


def _ready(room, pixels, *, by, purpose="", mark="", bay=None, caption="", taken_at=None, key=""):
    """Its files and its record, neither written yet."""
    now = timezone.now()
    files, photo = _made(room, pixels, now)
    photo.purpose, photo.mark, photo.bay, photo.caption = purpose, mark, bay, caption
    photo.taken_by, photo.key = by, key
    photo.taken_at = min(taken_at or now, now)
    photo.clean_fields(exclude=["bytes"])
    return files, photo


def _stored(files, photo):
    try:
        with transaction.atomic():
            photo.bytes = store.put(photo.shop_id, files)
            photo.save()
    except IntegrityError:
        store.remove_files(photo.shop_id, files)
        if found := _kept_under(photo.shop_id, photo.key):  # the same photo came twice at once
            return found
        raise
    except BaseException:
        store.remove_files(photo.shop_id, files)
        raise
    return photo


def _kept_under(shop_id, key):
    return Photo.objects.of(shop_id).filter(key=key).first() if key else None


def _made(room, pixels, now):
    large, small = pixels.copy(), pixels.copy()
    large.thumbnail((KEPT_SIDE, KEPT_SIDE))
    small.thumbnail((SMALL_SIDE, SMALL_SIDE))
    photo = Photo(
        shop_id=room.shop_id, room=room, file=store.new_name("jpg"), small=store.new_name("jpg"), wide=large.width,
        high=large.height, taken_at=now,
    )  # fmt: skip
    return {photo.file: pictures.as_jpeg(large, QUALITY), photo.small: pictures.as_jpeg(small, QUALITY)}, photo


def change(photo, seen_version, changes):
    """What it shows, of which bay or mark, and its caption. Raises StaleVersion."""
    return save_from(photo, seen_version, changes, at=timezone.now())


# f(photo) -> words that say what stands on the photo, or "". A part whose records point to photos adds its own.
stands_on: list[Callable[[Photo], str]] = []


def _closes_a_punch_item(photo):
    if PunchItem.objects.of(photo.shop_id).filter(closed_with=photo).exists():
        return _("A punch item was closed with this photo. Open the item again first.")
    return ""


stands_on.append(_closes_a_punch_item)


def take_back(photo, by):
    """Out of the room's photos, for KEPT_DAYS. Raises CannotBeDone when something stands on it."""
    for why in (asked(photo) for asked in stands_on):
        if why:
            raise CannotBeDone(why)
    now = timezone.now()
    rows = Photo.objects.of(photo.shop_id).filter(pk=photo.pk, trashed_at=None)
    rows.update(trashed_at=now, trashed_by=by, version=F("version") + 1, updated_at=now)


def put_back(photo):
    now = timezone.now()
    rows = Photo.objects.of(photo.shop_id).filter(pk=photo.pk)
    rows.update(trashed_at=None, trashed_by=None, version=F("version") + 1, updated_at=now)


def purge(now=None):
    """End for good what was taken back over KEPT_DAYS ago, in every shop. Returns how many."""
    before = (now or timezone.now()) - dt.timedelta(days=KEPT_DAYS)
    old = Photo.objects.every_shop().filter(trashed_at__lt=before).order_by("pk")
    return sum(forget(photo) for photo in old.iterator())


def forget(photo):
    """The photo, its files and its room in the shop's folder, for good. Returns whether it went.

    What something stands on stays, taken back as it is.
    """
    try:
        with transaction.atomic():
            gone, _rows = Photo.objects.of(photo.shop_id).filter(pk=photo.pk).delete()
            if gone:
                let_go([photo])
    except ProtectedError:
        return False
    return bool(gone)


def let_go(photos):
    """The files of photos whose records go in this transaction: their room now, they themselves when it is over."""
    for photo in photos:
        names = photo.file, photo.small
        store.release(photo.shop_id, photo.bytes)
        transaction.on_commit(partial(store.remove_files, photo.shop_id, names))


# The punch list


def find(room, by, *, words, mark=""):
    """An item of the room's punch list."""
    item = PunchItem(shop_id=room.shop_id, room=room, words=words, mark=mark, found_by=by, found_at=timezone.now())
    item.clean_fields()
    item.save()
    return item


def close(item, by, *, photo=None, words=""):
    """Closed with a photo, or with words why there is none. Raises CannotBeDone when it is closed or has neither."""
    if photo is None and not words:
        raise CannotBeDone(_("Close it with a photo, or say in words why there is none."))
    now, rows = timezone.now(), PunchItem.objects.of(item.shop_id).filter(pk=item.pk, closed_at=None)
    if not rows.update(closed_at=now, closed_by=by, closed_with=photo, closed_words=words, version=F("version") + 1,
                       updated_at=now):  # fmt: skip
        raise CannotBeDone(_("Somebody closed it already."))


@transaction.atomic
def close_with(item, by, *, pixels=None, words=""):
    """As close, with a picture that was read and becomes a photo of the room. Raises CannotBeDone, QuotaFull."""
    photo = None
    if pixels is not None:
        photo = keep_pixels(item.room, pixels, by=by, purpose="punch", mark=item.mark, caption=item.words)
    try:
        close(item, by, photo=photo, words=words)
    except BaseException:
        if photo:
            store.remove_files(photo.shop_id, (photo.file, photo.small))
        raise


def open_again(item):
    now, rows = timezone.now(), PunchItem.objects.of(item.shop_id).filter(pk=item.pk)
    rows.update(
        closed_at=None, closed_by=None, closed_with=None, closed_words="", version=F("version") + 1, updated_at=now
    )  # fmt: skip
