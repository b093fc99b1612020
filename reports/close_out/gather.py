"""What is handed over at the end of a job, read in a bounded number of queries, however many rooms. Draws nothing."""

from dataclasses import dataclass, field

from layout.as_built.queries import RoomMarks, marks_now
from projects.photos.models import Photo, PunchItem
from projects.stages.models import Pass
from projects.stages.order import name_of
from reports.close_out.queries import warranties_of

MOST_PHOTOS = 24  # of a room, on paper


@dataclass(slots=True)
class Handed:
    """One room: its marks as they really are, photos, open passes and open punch items. photos: how many in all."""

    room: object
    revision: object
    stage: str
    now: RoomMarks
    shots: list[Photo] = field(default_factory=list)
    photos: int = 0
    passes: list[Pass] = field(default_factory=list)
    punch: list[PunchItem] = field(default_factory=list)


@dataclass(slots=True)
class JobHanded:
    """rooms: by id, in the job's order. not_laid: names of rooms without an issued layout."""

    rooms: dict[int, Handed]
    warranties: list
    not_laid: list[str]


def handed_over(job, laid) -> JobHanded:
    rooms = [one.room for one in laid]
    now, ids = marks_now(rooms), [room.pk for room in rooms]
    found = {
        one.room.pk: Handed(one.room, one.revision, name_of(one.room.stage, job), now[one.room.pk]) for one in laid
    }
    shots = Photo.objects.of(job.shop_id).filter(room__in=ids, trashed_at=None).exclude(purpose="card")
    for shot in shots.order_by("room", "purpose", "bay", "pk"):
        mine = found[shot.room_id]
        mine.photos += 1
        if len(mine.shots) < MOST_PHOTOS:
            mine.shots.append(shot)
    for one in Pass.objects.of(job.shop_id).filter(room__in=ids, answered_at=None).select_related("by__user"):
        found[one.room_id].passes.append(one)
    for item in PunchItem.objects.of(job.shop_id).filter(room__in=ids, closed_at=None):
        found[item.room_id].punch.append(item)
    bare = job.rooms.filter(cancelled=False).exclude(pk__in=ids).order_by("pk").values_list("name", flat=True)
    return JobHanded(found, warranties_of(job), list(bare))
