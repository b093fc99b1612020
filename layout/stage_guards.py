"""What stages ask of a room's layout: a light chosen, a revision issued, its checks passed, a name on it."""

from functools import lru_cache

from django.db.models import Max
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout import frozen
from layout.engine.lengths import LengthError
from layout.engine.room import lay_out
from layout.engine.rows.arrange import say
from layout.models import Draft, LayoutRevision
from projects.jobs.models import FixtureCount
from projects.stages.guards import ENTER, LEAVE, guard

MOST_TOLD = 3  # of what a layout breaks; the room's page has them all
NEVER_ISSUED = gettext_lazy("No revision is issued. Issue one from the room's page.")


def newest_of(rooms):
    """{room id: its newest revision}, in one query."""
    issued = LayoutRevision.objects.of(rooms[0].shop_id)
    newest = issued.filter(room__in=[room.pk for room in rooms]).order_by().values("room").annotate(newest=Max("pk"))
    found = issued.filter(pk__in=newest.values("newest")).defer("result")
    return {revision.room_id: revision for revision in found}


@guard("light_chosen", stage="design", at=ENTER, title=gettext_lazy("Fixture types chosen"), page="counts")
def light_chosen(rooms):
    ids = {room.pk for room in rooms}
    counted = FixtureCount.objects.filter(room__in=ids).values_list("room", flat=True)
    drafted = Draft.objects.of(rooms[0].shop_id).filter(room__in=ids).values_list("room", flat=True)
    words = _("Nobody has chosen what it gets. Choose a light, and a speaker where it has one.")
    return dict.fromkeys(ids - set(counted) - set(drafted), words)


@guard(
    "layout_checked",
    stage="design",
    at=LEAVE,
    title=gettext_lazy("The layout passes its checks, or is signed"),
    page="room",
)
def layout_checked(rooms):
    newest, missing = newest_of(rooms), {}
    for room in rooms:
        revision = newest.get(room.pk)
        if revision is None:
            missing[room.pk] = str(NEVER_ISSUED)
        elif revision.approved_at is None and (broken := _broken(revision.inputs, room.job.tape)):
            words = _("Revision %(n)s breaks: %(what)s Change it, or someone who may approves it as it is.")
            missing[room.pk] = words % {"n": revision.number, "what": broken}
    return missing


def _broken(inputs, tape):
    found = _findings(inputs, tape)
    more = [_("and %(n)s more.") % {"n": len(found) - MOST_TOLD}] if len(found) > MOST_TOLD else []
    return " ".join([*found[:MOST_TOLD], *more])


@lru_cache(maxsize=2000)
def _findings(inputs, tape):
    """What the layout of these frozen inputs breaks, in words. A revision never changes: it is worked out once."""
    try:
        layout = lay_out(frozen.thaw_inputs(inputs))
    except LengthError as refused:
        return (str(refused),)
    return () if layout.arrangement.fits else tuple(say(one, tape) for one in layout.arrangement.findings)


@guard("revision_issued", stage="approved", at=ENTER, title=gettext_lazy("An issued revision"), page="room")
def revision_issued(rooms):
    newest = newest_of(rooms)
    return {room.pk: str(NEVER_ISSUED) for room in rooms if room.pk not in newest}


@guard(
    "approved_by_name",
    stage="approved",
    at=LEAVE,
    title=gettext_lazy("H1: a name on the newest revision"),
    page="room",
    hold="H1",
)
def approved_by_name(rooms):
    newest, missing = newest_of(rooms), {}
    for room in rooms:
        revision = newest.get(room.pk)
        if revision is None:
            missing[room.pk] = str(NEVER_ISSUED)
        elif revision.approved_at is None:
            words = _("Nobody has approved revision %(n)s by name. An approval of an earlier one does not count.")
            missing[room.pk] = words % {"n": revision.number}
    return missing
