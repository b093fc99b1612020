"""Readings taken on the phone. They are added, never written over; two that differ are shown to a person first."""

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from projects.jobs.models import MeasurementSet, Subject
from projects.jobs.services import record_measurements
from projects.jobs.survey_forms import MeasurementForm
from reports.field.entries import Conflict, Refused, entry
from reports.field.pages import phone_page


def readings_form(member, room, data, at):
    """The desk's form over what the phone sent; day and name are the entry's own where it says none.

    A box is there once: of two values under one name neither is read.
    """
    said = {"taken_on": timezone.localtime(at).date().isoformat(), "taken_by": member.user.name[:80]}
    said |= {"kind": "framing", "instrument": "tape"}
    typed = {name: value for name, value in data.items() if value and isinstance(value, str)}
    return MeasurementForm(said | typed, tape=room.job.tape)


@entry("measure", may="measure", title=gettext_lazy("Readings"))
def keep_readings(member, room, data, base, at, file):
    """data: boxes of the readings' form. base: how many sets of readings the phone knew of."""
    form = readings_form(member, room, data, at)
    if not form.is_valid():
        wrong = [f"{_label(form, name)}{words}" for name, told in form.errors.items() for words in told]
        raise Refused(" ".join(wrong))
    known = list(MeasurementSet.objects.filter(room=room).prefetch_related("readings").order_by("pk"))
    _ask_where_they_differ(room, form.readings, known[base:], len(known))
    record_measurements(room, form.readings, by=member, **form.visit)
    return {"version": len(known) + 1}


def _label(form, name):
    return f"{form.fields[name].label}: " if name in form.fields else ""


def _ask_where_they_differ(room, readings, newer, count):
    """What was taped while the phone had no signal, against what it brings: other numbers are a person's to judge."""
    theirs = {(one.subject, one.ordinal): one.value for visit in newer for one in visit.readings.all()}
    mine = {(subject, ordinal): value for subject, ordinal, value, _height in readings}
    apart = [place for place, value in mine.items() if place in theirs and theirs[place] != value]
    if not apart:
        return
    tape, by = room.job.tape, newer[-1].taken_by
    raise Conflict(
        _("%(who)s taped this too, and read other numbers. One of you should tape it again.") % {"who": by},
        theirs={_said(place): tape.show(theirs[place]) for place in apart} | {"version": count},
        mine={_said(place): tape.show(mine[place]) for place in apart},
    )


def _said(place):
    subject, ordinal = place
    return f"{Subject(subject).label}" if ordinal == 1 else f"{Subject(subject).label} ({ordinal})"


phone_page("field_measure", gettext_lazy("Measure"), may="measure", place=30)
