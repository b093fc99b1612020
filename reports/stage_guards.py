"""What stages ask of papers and material: a bid accepted, a card printed, housings on hand, changes signed."""

from django.db.models import Max
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.engine.lengths import LengthError
from layout.models import LayoutRevision
from projects.stages.guards import ENTER, LEAVE, guard
from reports.bids.models import BidRevision
from reports.bids.models import State as BidState
from reports.changes.models import ChangedRoom, FieldExtra
from reports.changes.models import State as ChangeState
from reports.models import CardCopy
from reports.purchasing.queries import material_of

# What has to lie ready before a crew goes out: what is set at rough-in. Common practice, no source.
ROUGHED_IN = frozenset({
    "housing", "remodel_light", "grid_light", "tile_bridge", "speaker_bracket", "subwoofer_bracket",
})  # fmt: skip
MOST_TOLD = 4


@guard("bid_accepted", stage="bid", at=LEAVE, title=gettext_lazy("The bid is accepted"))
def bid_accepted(rooms):
    accepted = BidRevision.objects.of(rooms[0].shop_id).filter(
        state=BidState.ACCEPTED, bid__job__in={room.job_id for room in rooms}
    )
    jobs = set(accepted.values_list("bid__job", flat=True))
    words = _("No bid of this job is accepted. The office records who accepted it, and when.")
    return {room.pk: words for room in rooms if room.job_id not in jobs}


@guard(
    "material_on_hand",
    stage="released",
    at=ENTER,
    title=gettext_lazy("Housings and brackets on hand"),
    page="room_material",
)
def material_on_hand(rooms):
    """In as many queries for a job as material_of takes, however many of its rooms are asked for."""
    by_job, missing = {}, {}
    for room in rooms:
        by_job.setdefault(room.job, []).append(room)
    for job, its_rooms in by_job.items():
        try:
            material = material_of(job, [room.pk for room in its_rooms])
        except LengthError as refused:  # a layout that no longer comes out as issued can't be counted
            missing |= {room.pk: str(refused) for room in its_rooms}
            continue
        for room in its_rooms:
            if words := _lacking(material.get(room.pk)):
                missing[room.pk] = words
    return missing


def _lacking(material):
    if material is None or not material.lines:
        return _("Nothing is counted for this room: neither a layout nor counts. What it takes is not known.")
    short = [line for line in material.lacking if line.key.split(":")[0] in ROUGHED_IN]
    if not short:
        return ""
    told = "; ".join(f"{line.lacks} {line.name}" for line in short[:MOST_TOLD])
    return _("Not on hand yet: %(what)s.") % {"what": told}


@guard("card_printed", stage="released", at=LEAVE, title=gettext_lazy("A card of the newest revision"), page="room")
def card_printed(rooms):
    ids = [room.pk for room in rooms]
    shop = rooms[0].shop_id
    newest = dict(
        LayoutRevision.objects.of(shop).filter(room__in=ids).order_by().values_list("room").annotate(n=Max("number"))
    )
    cards = CardCopy.objects.of(shop).filter(revision__room__in=ids).order_by()
    printed = dict(cards.values_list("revision__room").annotate(n=Max("revision__number")))
    missing = {}
    for room in rooms:
        if room.pk not in newest:
            missing[room.pk] = _("No revision is issued, so no card can be printed.")
        elif room.pk not in printed:
            missing[room.pk] = _("No card is printed or sent. Print it from revision %(n)s.") % {"n": newest[room.pk]}
        elif printed[room.pk] < newest[room.pk]:
            words = _("The card on site is of revision %(old)s. Print it from revision %(n)s.")
            missing[room.pk] = words % {"old": printed[room.pk], "n": newest[room.pk]}
    return missing


def _changes_signed(rooms):
    """A change is signed before its work is done."""
    open_ones = ChangedRoom.objects.filter(
        room__in=[room.pk for room in rooms], change__state__in=(ChangeState.DRAFT, ChangeState.SENT)
    )
    found = {}
    for room_id, number in open_ones.order_by("change__number").values_list("room", "change__number"):
        found.setdefault(room_id, []).append(str(number))
    words = _("Not signed: change order %(numbers)s. It is signed, rejected or void before its work is done.")
    return {room_id: words % {"numbers": ", ".join(numbers)} for room_id, numbers in found.items()}


for _stage in ("rough_in", "trim", "close_out"):
    guard(f"changes_signed_{_stage}", stage=_stage, at=ENTER, title=gettext_lazy("Change orders signed"))(
        _changes_signed
    )


@guard("extras_settled", stage="close_out", at=ENTER, title=gettext_lazy("Field extras charged or closed"))
def extras_settled(rooms):
    open_ones = FieldExtra.objects.of(rooms[0].shop_id).filter(
        room__in=[room.pk for room in rooms], change=None, closed_why=""
    )
    words = _("A field extra of this room is neither in a change order nor closed with a reason.")
    return dict.fromkeys(open_ones.values_list("room", flat=True), words)
