"""What insulation waits for: each light's label read, and a photo of the space around those it may not touch."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.as_built.queries import marks_now
from projects.catalogue.models import RatedIC
from projects.photos.models import Photo
from projects.stages.guards import ENTER, LEAVE, guard


@guard("labels_known", stage="insulation", at=ENTER, title=gettext_lazy("Each light's label is read"),
       safety=True)  # fmt: skip
def labels_known(rooms):
    missing = {}
    for room_id, now in marks_now(rooms).items():
        names = {mark.mark.fixture_type.name for mark in _lights(now) if not mark.mark.fixture_type.rated_ic}
        if names:
            words = _("Nobody read whether insulation may touch: %(names)s. Read the label, enter it in the catalog.")
            missing[room_id] = words % {"names": ", ".join(sorted(names))}
    return missing


@guard("clearance_photos", stage="insulation", at=LEAVE, title=gettext_lazy("The space around lights is kept"),
       safety=True, page="photos")  # fmt: skip
def clearance_photos(rooms):
    if not rooms:
        return {}
    shots = Photo.objects.of(rooms[0].shop_id).filter(
        room__in=[room.pk for room in rooms], purpose="clearance", trashed_at=None
    )
    seen = set(shots.values_list("room_id", "mark"))
    missing = {}
    for room_id, now in marks_now(rooms).items():
        need = [mark.ident for mark in _lights(now) if mark.mark.fixture_type.rated_ic == RatedIC.NO]
        left = [ident for ident in need if (room_id, ident) not in seen]
        if left:
            words = _("No photo shows the space kept around %(marks)s. Take one of each, and name its mark.")
            missing[room_id] = words % {"marks": ", ".join(left)}
    return missing


def _lights(now):
    return (mark for mark in now.marks if mark.mark.kind == "light")
