"""What the inspector has to have said before a room goes on: H2 before it is covered, H4 before it is handed over."""

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from projects.stages.guards import ENTER, LEAVE, guard
from reports.checks.queries import known_of_rooms
from reports.inspections.models import Kind, Outcome
from reports.inspections.queries import standing_of

INSPECTION, CLOSE_OUT = "inspection", "close_out"


@guard(
    "rough_in_inspection_passed",
    stage=INSPECTION,
    at=LEAVE,
    title=gettext_lazy("The rough-in inspection passed (H2)"),
    safety=True,
    page="room_inspections",
    hold="H2",
)
def rough_in_inspection_passed(rooms):
    """Power for a room with lights, or one whose parts nobody knows; low voltage where it was looked at or is all."""
    stands, known = standing_of(rooms), known_of_rooms(rooms)
    told = {room.pk: _rough_in(stands[room.pk], known[room.pk].get("lights")) for room in rooms}
    return {room_id: words for room_id, words in told.items() if words}


def _rough_in(stands, lights):
    power, low_voltage = stands.get(Kind.POWER), stands.get(Kind.LOW_VOLTAGE)
    if power is None and (lights is not False or low_voltage is None):
        return _("No rough-in inspection is recorded. Record the visit with its tag.")
    said = [_missing(kind, one) for kind, one in ((Kind.POWER, power), (Kind.LOW_VOLTAGE, low_voltage)) if one]
    return " ".join(words for words in said if words)


@guard(
    "final_inspection_passed",
    stage=CLOSE_OUT,
    at=ENTER,
    title=gettext_lazy("The final inspection passed (H4)"),
    safety=True,
    page="room_inspections",
    hold="H4",
)
def final_inspection_passed(rooms):
    stands = standing_of(rooms)
    told = {room.pk: _final(stands[room.pk].get(Kind.FINAL)) for room in rooms}
    return {room_id: words for room_id, words in told.items() if words}


def _final(final):
    if final is None:
        return _("No final inspection is recorded. Record the visit with its tag.")
    return _missing(Kind.FINAL, final)


def _missing(kind, stands):
    name = {"inspection": Kind(kind).label, "day": date_format(stands.on)}
    if stands.outcome != Outcome.PASS:
        return _("Inspection (%(inspection)s) of %(day)s did not pass the room. Record the visit that does.") % name
    if not stands.tag:
        return _("Inspection (%(inspection)s) of %(day)s has no tag number. Write it down.") % name
    return ""
