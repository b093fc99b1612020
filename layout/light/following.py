"""What a room's light setup does when the room is copied or turned: it goes along, and aims stay with their lights.

Tasks are placed from the left and the door wall and stand where they are. Rows, numbers and a zone's letter are counted
from the zero corner: where each light hung is noted before a turn, and found again after.
"""

from django.db import models, transaction

from layout.engine.lengths import nanometers
from layout.engine.switching import places
from layout.light.models import LightAim, LightSetup, LightZone
from layout.light.services import COLUMNS, ROWS, setup_of
from layout.queries import layout_now
from projects.jobs.queries import room_of


@transaction.atomic
def copy_setup(room, twin):
    """Registered with projects.jobs: a copied room keeps what is set for its light. Its readings are its own."""
    setup = setup_of(room)
    if setup.pk is None:
        return
    copy = LightSetup(room=twin, shop_id=twin.shop_id, **{name: getattr(setup, name) for name in COLUMNS})
    copy.save()
    for name, kind in ROWS.items():
        rows = setup.rows(name)
        for row in rows:
            row.pk, row.setup, row._state.adding = None, copy, True
        kind.objects.bulk_create(rows)


def note_lights(before, after):
    """Registered with projects.jobs, before the draft is turned: where each aimed light hangs, and one of each zone."""
    aims, zones = _rows(after)
    if not aims and not zones:
        return
    lights = _lights(before)
    at = {place: xy for place, _zone, xy in lights}
    of = {zone: xy for _place, zone, xy in lights}
    for row, xy in [*((a, at.get((a.row, a.number))) for a in aims), *((z, of.get(z.letter)) for z in zones)]:
        row.x, row.y = xy or (None, None)
    LightAim.objects.bulk_update(aims, ["x", "y"])
    LightZone.objects.bulk_update(zones, ["x", "y"])


@transaction.atomic
def follow_lights(before, after):
    """Registered with projects.jobs, after the draft is turned: each aim and level goes to what hangs there now."""
    del before
    aims, zones = _rows(after)
    lights = _lights(room_of(after.shop, after.pk)) if aims or zones else []
    if not lights:
        return
    for aim in aims:
        aim.row, aim.number = _nearest(lights, aim)[0] if aim.x is not None else (aim.row, aim.number)
    for zone in zones:
        zone.letter = _nearest(lights, zone)[1] if zone.x is not None else zone.letter
    for kind, rows, key in ((LightAim, aims, lambda a: (a.row, a.number)), (LightZone, zones, lambda z: z.letter)):
        if len({key(row) for row in rows}) < len(rows):  # two would stand at one light: nothing is guessed
            continue
        kind.objects.filter(setup__room=after).delete()
        for row in rows:
            row.pk, row.x, row.y = None, None, None
        kind.objects.bulk_create(rows)
    LightSetup.objects.of(after.shop_id).filter(room=after).update(version=models.F("version") + 1)


def _rows(room):
    return list(LightAim.objects.filter(setup__room=room)), list(LightZone.objects.filter(setup__room=room))


def _lights(room):
    """((row, number), zone, (x, y) from the left and the door side) of each; none where it can't be laid out."""
    layout = layout_now(room)
    if layout is None:
        return []
    sizes = layout.wide.datums.ceiling, layout.deep.datums.ceiling
    turn = layout.inputs.orientation
    found = []
    for place, mark in places(layout.arrangement.marks).items():
        x, y = turn.plan_xy(mark.along, mark.across, *sizes)
        found.append((place, mark.zone, (nanometers(int(x.nm)), nanometers(int(y.nm)))))
    return found


def _nearest(lights, row):
    return min(lights, key=lambda one: (int(one[2][0]) - int(row.x)) ** 2 + (int(one[2][1]) - int(row.y)) ** 2)
