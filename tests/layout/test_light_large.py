"""A floor of many lights is worked out as long work, kept by zone, and shown until the room changes."""

import numpy as np
import pytest
from django.urls import reverse

from layout.engine.light.measures import measure
from layout.engine.light.solve import solve
from layout.engine.light.values import Dims
from layout.light import queries, work
from layout.light.kept import face_lux, packed, unpacked
from layout.light.models import KeptLight
from layout.light.queries import light_of
from projects.platform.permissions import Role
from projects.work.models import Work
from tests.factories import LightSetupFactory, LightTaskFactory
from tests.layout.lit import lit_room
from tests.shops import fresh, people_of, sign_in

pytestmark = pytest.mark.django_db


class Steps:
    """What long work tells its progress to."""

    def __init__(self):
        self.told = []

    def at(self, done, total):
        self.told.append((done, total))


@pytest.fixture
def room(monkeypatch):
    """Six lights, where five are already many."""
    monkeypatch.setattr(queries, "MOST_LIGHTS", 5)
    return lit_room()


@pytest.fixture
def lead(client, room):
    return sign_in(client, people_of(room.shop)[Role.CREW_LEAD])


def done(room):
    started, steps = work.start(room, None), Steps()
    work.work_out(started, steps)
    return steps


def test_the_page_says_that_it_has_to_be_worked_out_and_one_press_starts_it(lead, room):
    address = reverse("light", args=[room.pk])
    assert "too many to work out while you wait" in lead.get(address).content.decode()
    assert lead.post(reverse("work_out_light", args=[room.pk])).status_code == 302
    [started] = Work.objects.of(room.shop)
    assert started.asked_for == {"room_id": room.pk}
    page = lead.get(address).content.decode()
    assert "It is being worked out." in page and "Work it out</button>" not in page


def test_what_came_out_is_the_same_as_worked_out_at_once(room, monkeypatch):
    LightTaskFactory(setup=LightSetupFactory(room=room), name="Reader", kind="face", from_left=2 * 10**9,
                     from_door=10**9, height=12 * 10**8, wide=None, deep=None)  # fmt: skip
    room = fresh(room)
    steps = done(room)
    kept = light_of(room)
    assert steps.told[-1][0] == steps.told[-1][1] and len(steps.told) > 6
    monkeypatch.setattr(queries, "MOST_LIGHTS", 60)
    whole = light_of(room)
    assert kept.made.digest == whole.made.digest
    for dims in (None, Dims(zones={"A": 0.3})):
        ours, theirs = measure(kept.solved, dims), measure(whole.solved, dims)
        assert ours.plane_avg_lx == pytest.approx(theirs.plane_avg_lx, rel=1e-6)
        assert ours.walls_avg_lx == pytest.approx(theirs.walls_avg_lx, rel=1e-6)
        [face] = kept.made.faces
        assert face_lux(kept.solved, face, dims) == pytest.approx(face_lux(whole.solved, face, dims), rel=1e-6)


def test_the_page_shows_what_was_kept_with_its_pictures(lead, room):
    done(room)
    page = lead.get(reverse("light", args=[room.pk])).content.decode()
    assert "Work plane, average" in page and page.count("<figure") >= 6 and "too many" not in page


def test_a_room_that_changed_has_to_be_worked_out_anew(room):
    done(room)
    assert light_of(fresh(room)).solved is not None
    LightSetupFactory(room=room, wall_percent=20)
    assert light_of(fresh(room)).waits
    done(fresh(room))
    assert light_of(fresh(room)).solved is not None
    assert KeptLight.objects.of(room.shop).count() == 1


def test_done_again_under_the_same_digest_it_is_left_as_it_is(room):
    done(room)
    before = KeptLight.objects.of(room.shop).get()
    assert done(room).told == []
    assert KeptLight.objects.of(room.shop).get().at == before.at


def test_grids_come_back_as_they_were(room, monkeypatch):
    monkeypatch.setattr(queries, "MOST_LIGHTS", 60)
    made = light_of(room).made
    solved = solve(made.scene)
    again = unpacked(packed(solved, ()), made.scene)
    for one, other in zip(solved.grids, again.grids, strict=True):
        assert (one.name, one.on, one.number, one.columns, one.rows) == (
            other.name, other.on, other.number, other.columns, other.rows,
        )  # fmt: skip
        assert np.allclose(one.points, other.points, atol=1e-3) and np.allclose(one.areas, other.areas)
    assert again.balance == solved.balance
