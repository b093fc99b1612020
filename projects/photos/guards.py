"""What photos and punch lists a stage asks for. Each is asked for many rooms at once."""

from django.db.models import Count
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from projects.photos.models import PunchItem
from projects.photos.queries import sets_of
from projects.stages.guards import ENTER, LEAVE, guard

SHOWN = 8  # bays named one by one


@guard("survey_photos", stage="survey", at=LEAVE, title=gettext_lazy("Survey photos are taken"), page="photos")
def survey_photos(rooms):
    return _lacking(rooms, "survey")


@guard("photos_before_cover", stage="drywall", at=ENTER, title=gettext_lazy("Each bay is photographed before cover"),
       page="photos", hold="H3")  # fmt: skip
def photos_before_cover(rooms):
    return _lacking(rooms, "drywall")


def _lacking(rooms, stage):
    missing = {}
    for room_id, sets in sets_of(rooms).items():
        said = [_said(one) for one in sets if one.asked.stage == stage and one.lacks]
        if said:
            words = _("Photos missing: %(what)s. Take them on the room's photo page.")
            missing[room_id] = words % {"what": "; ".join(said)}
    return missing


def _said(one):
    words = _("%(title)s: %(have)s of %(need)s") % {"title": _(one.asked.title), "have": one.have, "need": one.need}
    if not one.bays:
        return words
    shown = ", ".join(str(bay) for bay in one.bays[:SHOWN]) + (", …" if len(one.bays) > SHOWN else "")
    return words + _(" (bay %(bays)s to go)") % {"bays": shown}


@guard("punch_closed", stage="punch", at=LEAVE, title=gettext_lazy("Every punch item is closed"), page="punch")
def punch_closed(rooms):
    if not rooms:
        return {}
    still = PunchItem.objects.of(rooms[0].shop_id).filter(room__in=[room.pk for room in rooms], closed_at=None)
    counted = still.values_list("room_id").annotate(count=Count("pk")).order_by()
    return {room_id: _open_items(count) for room_id, count in counted}


def _open_items(count):
    words = ngettext("%(n)s punch item is open.", "%(n)s punch items are open.", count) % {"n": count}
    return words + " " + _("Close each with a photo, or with words why there is none.")
