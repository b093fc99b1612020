"""Reads of photos: a room's, and which of those a stage asks for are there. Constant queries, however many rooms."""

from dataclasses import dataclass

from django.core.paginator import Paginator
from django.db.models import Prefetch
from django.http import Http404
from django.utils.translation import gettext as _

from layout.engine.lengths import ZERO
from layout.engine.marks import Axis
from projects.catalogue.table_values import PhotoSet
from projects.catalogue.tables import photo_sets
from projects.ceilings.values import center_of
from projects.jobs.models import MeasurementSet, Room
from projects.jobs.sizes import finished_size, framing_size
from projects.photos.models import Photo, PunchItem

PAGE = 60


@dataclass(frozen=True, slots=True)
class SetState:
    """One set of photos of a room. need: at the least; bays: which of them are still to be taken, counted from 1."""

    asked: PhotoSet
    have: int
    need: int
    bays: tuple[int, ...] = ()

    @property
    def lacks(self):
        return max(0, self.need - self.have)


def photos_of(room):
    """The room's photos, the oldest first, without those that were taken back."""
    return Photo.objects.of(room.shop_id).filter(room=room, trashed_at=None).select_related("taken_by__user")


def page_of_photos(room, number, *, purpose=None):
    found = photos_of(room).order_by("-pk")
    if purpose is not None:
        found = found.filter(purpose=purpose)
    return Paginator(found, PAGE).get_page(number)


def taken_back(room):
    return Photo.objects.of(room.shop_id).filter(room=room).exclude(trashed_at=None).order_by("-trashed_at")[:PAGE]


def photo_of(shop, shot_id):
    """With its room; one that was taken back too. Raises Http404."""
    found = Photo.objects.of(shop).filter(pk=shot_id).select_related("room__job", "taken_by__user").first()
    if found is None:
        raise Http404
    return found


def item_of(shop, punch_id):
    found = PunchItem.objects.of(shop).filter(pk=punch_id).select_related("room").first()
    if found is None:
        raise Http404
    return found


def punch_items(room):
    items = PunchItem.objects.of(room.shop_id).filter(room=room)
    return items.select_related("found_by__user", "closed_by__user", "closed_with").order_by("closed_at", "pk")


def required_sets(room) -> list[tuple[str, str, int, int]]:
    """(purpose, title, have, need) of each set the room needs."""
    return [(one.asked.purpose, _(one.asked.title), one.have, one.need) for one in sets_of([room])[room.pk]]


def sets_of(rooms) -> dict[int, list[SetState]]:
    """For each room, the sets it needs and how far each is. Four queries and those a ceiling's joists take."""
    if not rooms:
        return {}
    whole = _with_what_bays_are_counted_from(rooms)
    taken: dict[tuple[int, str], list[int | None]] = {}
    shots = Photo.objects.of(rooms[0].shop_id).filter(room__in=[room.pk for room in rooms], trashed_at=None)
    for room_id, purpose, bay in shots.values_list("room_id", "purpose", "bay"):
        taken.setdefault((room_id, purpose), []).append(bay)
    return {room.pk: [_state(whole[room.pk], one, taken.get((room.pk, one.purpose), []))
                      for one in photo_sets() if whole[room.pk].job.runs_as not in one.not_for]
            for room in rooms}  # fmt: skip


def _state(room, one, bays):
    if one.per != "bay":
        return SetState(one, len(bays), one.count)
    count = bay_count(room)
    if count is None:  # nobody entered the framing: one of the whole is what can be asked for
        return SetState(one, len(bays), one.count)
    seen = {bay for bay in bays if bay and bay <= count}
    left = tuple(bay for bay in range(1, count + 1) if bay not in seen)
    return SetState(one, len(seen), count, left)


def bay_count(room) -> int | None:
    """Bays between joists as entered and taped, the ones at both walls included; None where either is not known."""
    ceiling = getattr(room, "ceiling", None)
    run = next(iter(ceiling.joists.all()), None) if ceiling else None
    if run is None:
        return None
    across = Axis.DOOR_FAR if run.runs == Axis.LEFT_RIGHT.value else Axis.LEFT_RIGHT
    size = framing_size(room, across) or finished_size(room, across)
    if size is None:
        return None
    first = center_of(run.first, run.width, run.first_to).nm % run.spacing.nm
    inside = -((first - size.center.nm) // run.spacing.nm)  # centers between the two walls
    return int(inside) + (1 if first > ZERO.nm else 0)


def _with_what_bays_are_counted_from(rooms):
    found = (
        Room.objects.of(rooms[0].shop_id)
        .filter(pk__in=[room.pk for room in rooms])
        .select_related("job", "ceiling")
        .prefetch_related(
            "ceiling__joists", Prefetch("measurement_sets", MeasurementSet.objects.prefetch_related("readings"))
        )
    )
    return {room.pk: room for room in found}
