"""How a zone's lights hang together, from what people choose to the cable that is counted."""

import pytest

from layout.engine.lengths import ZERO
from layout.engine.wiring.runs import Part, RunKind
from projects.jobs.models import SwitchZone
from projects.jobs.services import copy_room
from reports.contents import room_contents
from tests.factories import ShopFactory, SwitchZoneFactory, WirePointFactory
from tests.shops import fresh, issue, practice_room

pytestmark = pytest.mark.django_db


def in_ceiling(room, revision):
    """All the way on the plan from the switch through the zone's lights, drops and make-up left out."""
    wiring = room_contents(fresh(room), revision).wiring
    runs = [run for run in wiring.runs if run.kind in (RunKind.HOP, RunKind.SWITCH_LEG)]
    return sum((length for run in runs for part, length in run.parts if part is Part.PATH), start=ZERO)


def test_from_a_switch_at_the_middle_a_tree_saves_the_way_to_the_end_of_a_row_and_a_copied_room_keeps_it():
    """Two rows of three: a chain must first go to an end, one gap; a tree goes both ways from the middle."""
    room = practice_room(ShopFactory())
    revision = issue(room)
    first, middle = (revision.marks.get(ident=ident) for ident in ("A1", "A2"))
    WirePointFactory(room=room, from_left=middle.along)
    chain = in_ceiling(room, revision)
    SwitchZoneFactory(room=room, letter="A", hung="tree")
    tree = in_ceiling(room, revision)
    assert ZERO < tree < chain <= tree + (middle.along - first.along)
    (twin,) = copy_room(fresh(room), 1)
    assert SwitchZone.objects.get(room=twin).hung == "tree"
