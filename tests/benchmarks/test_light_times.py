"""What light is timed against is the same light; and the table is printed. No time is asserted."""

import numpy as np
import pytest

from layout.engine.light.ground import ground_of
from layout.engine.light.solve import solve
from tests.benchmarks.light_times import floor_in_an_ell, plainly, report
from tests.engine.lit_rooms import POINT, media_room


def test_the_plain_loop_has_the_same_direct_light():
    scene = media_room(opening=POINT)
    solved, ground = solve(scene, step_m=0.5), ground_of(scene, 0.5)
    normals = np.repeat(ground.fronts, ground.counts, axis=0)
    told = np.concatenate([solved.direct(grid.name) for grid in solved.grids])
    assert plainly(scene, ground.points.tolist(), normals.tolist()) == pytest.approx(told)


def test_light_is_timed():
    machine, head, *rows = report(runs=1, large=False)
    assert "Python" in machine
    assert "median" in head
    assert len(rows) == 6
    assert all(" ms" in row for row in rows[:4])


def test_the_large_floor_in_an_ell_has_its_lights_inside():
    assert len(floor_in_an_ell().lights) == 150
