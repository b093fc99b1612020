"""A picture of a plan to trace over: looked at, written anew, kept in the shop's own folder. Knows no page.

What is uploaded is never served: it is decoded within bounds and a plain picture is written from its pixels alone, so
that nothing hidden in the file, where it was taken included, goes on.
"""

from fractions import Fraction
from math import hypot

from django.db import transaction
from django.utils import timezone

from layout.drawing.layers import Backdrop
from layout.engine.lengths import Distance
from layout.models import PlanPicture
from projects.files import store
from projects.files.pictures import as_jpeg, rewritten
from projects.jobs.models import Room
from projects.platform.tenancy import save_from


def path_of(picture: PlanPicture):
    return store.path_of(picture.shop_id, picture.file)


def keep_picture(room, upload):
    """The room's picture from now on, not yet to scale. Raises NoPicture, QuotaFull."""
    pixels = rewritten(upload)
    name = store.new_name("jpg")
    with transaction.atomic():
        Room.objects.of(room.shop_id).select_for_update().get(pk=room.pk)
        before = picture_of(room)
        remove_picture(room)
        store.put(room.shop_id, {name: as_jpeg(pixels)})
        return PlanPicture.objects.create(
            shop_id=room.shop_id, room=room, file=name, wide=pixels.width, high=pixels.height,
            opacity=before.opacity if before else 50,
        )  # fmt: skip


@transaction.atomic
def remove_picture(room):
    found = picture_of(room)
    if found:
        taken, _rows = PlanPicture.objects.of(room.shop_id).filter(pk=found.pk).delete()
        if taken:
            store.release(found.shop_id, store.size_of(found.shop_id, found.file))
            transaction.on_commit(lambda: store.remove_files(found.shop_id, [found.file]))


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
