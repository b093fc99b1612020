"""Walls against setback: computed layout by layout, the same as solving each anew, and honest where it reverses."""

from dataclasses import dataclass, replace
from math import cos, radians, sqrt

import numpy as np
import pytest

from layout.engine.findings import Code
from layout.engine.lengths import LengthError, inches, mm
from layout.engine.light import compare
from layout.engine.light.compare import Off, Wanted, setbacks, sweep, ways
from layout.engine.light.lobe import Lobe
from layout.engine.light.measures import measure
from layout.engine.light.solve import solve
from layout.engine.light.values import Known, Opening
from layout.engine.room import lay_out
from layout.engine.rows.wish import Mode
from tests.engine.lit_layouts import inputs, laid, metric, scenes
from tests.engine.ways_rooms import SPEAKER

HELD = (Mode.WALL_HELD,)


def swept(base, low, high, *, emitter=None, step=6, **asked):
    wanted = Wanted(inches(low), inches(high), inches(step), **({"modes": HELD} | asked))
    return sweep(base, ways(base, wanted), scenes(emitter))


# What is tried


def test_setbacks_between_are_whole_steps_of_the_tape_and_both_ends_are_tried():
    assert setbacks(inches(15), inches(40), inches(6)) == tuple(map(inches, (15, 18, 24, 30, 36, 40)))
    assert setbacks(mm(300), mm(600), mm(150)) == (mm(300), mm(450), mm(600))
    assert setbacks(inches(12), inches(12), inches(6)) == (inches(12),)


@pytest.mark.parametrize(("low", "high", "step", "says"), [(12, 6, 3, "To"), (1, 90, 0, "Step"), (1, 200, 1, "Step")])
def test_a_range_that_makes_no_sense_names_what_to_change(low, high, step, says):
    with pytest.raises(LengthError, match=f"^{says}"):
        setbacks(inches(low), inches(high), inches(step))


def test_modes_that_hold_nothing_off_the_wall_are_one_layout_for_each_count():
    wanted = Wanted(inches(12), inches(24), inches(6), modes=(Mode.WALL_HELD, Mode.EVEN, Mode.LOCKED),
                    counts=((1, 3), (2, 3)))  # fmt: skip
    found = ways(laid(), wanted)
    assert [way.mode for way in found] == [Mode.WALL_HELD] * 6 + [Mode.EVEN] * 2  # nothing is typed here
    typed = lay_out(inputs(typed_along=(inches(30), inches(100)), mode_along=Mode.LOCKED))
    assert ways(typed, replace(wanted, modes=(Mode.LOCKED,)))[0].change == {"mode_along": Mode.LOCKED}


def test_more_layouts_than_are_tried_is_refused():
    counts = tuple((1, n) for n in range(1, 30))
    with pytest.raises(LengthError, match="fewer counts"):
        ways(laid(), Wanted(inches(6), inches(60), inches(6), counts=counts))


def test_only_the_outer_lights_that_are_asked_for_move():
    ends = swept(laid(), 12, 36, off=Off(rows=False)).points
    assert [point.off_ends for point in ends] == list(map(inches, (12, 18, 24, 30, 36)))
    assert {point.off_rows for point in ends} == {inches(24)}


def test_speakers_keep_their_gaps_where_the_count_allows_and_are_left_out_else():
    base = laid(lights_per_row=4, wide="228", speaker=SPEAKER, speaker_gaps=(1, 3), light_to_speaker=inches(12))
    assert compare.with_speakers(base, 2, 5) == {"speaker_gaps": (1, 4)}
    assert compare.with_speakers(base, 2, 1) == {"speaker_gaps": ()}


# What comes out


def plain_loop(layout, power=3.0, height=2.7432, plane=0.762, cell=0.0635):
    """Wall average over plane average from direct light alone, point by point, I = 1000 cos^power: E = I cos / d2."""
    wide = float(layout.wide.datums.ceiling.nm) / 1e9
    deep = float(layout.deep.datums.ceiling.nm) / 1e9
    lights = [(float(m.along.nm) / 1e9, float(m.across.nm) / 1e9) for m in layout.arrangement.marks]

    def centers(size):
        count = round(size / cell)
        return [(n + 0.5) * size / count for n in range(count)]

    def lux(x, y, z, normal):
        told = 0.0
        for lx, ly in lights:
            dx, dy, dz = lx - x, ly - y, height - z
            far = sqrt(dx * dx + dy * dy + dz * dz)
            faces = (dx * normal[0] + dy * normal[1] + dz * normal[2]) / far
            if faces > 0:
                told += 1000 * (dz / far) ** power * faces / far**2
        return told

    flat = [lux(x, y, plane, (0, 0, 1)) for x in centers(wide) for y in centers(deep)]
    up = centers(height)
    long = [lux(x, y, z, (0, n, 0)) for y, n in ((0, 1), (deep, -1)) for x in centers(wide) for z in up]
    short = [lux(x, y, z, (n, 0, 0)) for x, n in ((0, 1), (wide, -1)) for y in centers(deep) for z in up]
    walls = (np.mean(long) * wide + np.mean(short) * deep) / (wide + deep)
    return walls / np.mean(flat), np.mean(flat)


def test_every_point_is_what_a_plain_loop_of_direct_light_says_in_a_black_room():
    found = swept(laid(wide="120", deep="96"), 18, 42, step=12)
    assert len(found.points) == 4
    for point in found.points:
        ratio, level = plain_loop(point.layout)
        assert point.measures.wall_over_plane == pytest.approx(ratio, rel=0.01)
        assert point.measures.plane_avg_lx == pytest.approx(level, rel=0.01)


@pytest.mark.parametrize(
    ("beam", "thirds", "half"),
    [(120, (441.5, 0.375, 0.475), (391.5, 0.499, 0.562)), (90, (376.5, 0.296, 0.309), (331.1, 0.441, 0.382)),
     (60, (259.6, 0.156, 0.145), (228.7, 0.331, 0.203))],
)  # fmt: skip
def test_equal_thirds_against_half_a_gap_as_measured_by_others(beam, thirds, half):
    """12 by 12 ft, 9 ft high, plane 2.5 ft, 2 by 2, cos^n with half its light at half the beam, direct only.

    Source: worked table of a handbook study (plane mean for 1000 cd, least over mean, wall mean over plane mean).
    """
    power = np.log(0.5) / np.log(cos(radians(beam / 2)))
    base = lay_out(inputs())
    wanted = Wanted(inches(24), inches(24), inches(6), modes=(Mode.EVEN, Mode.HALF_GAP))
    found = sweep(base, ways(base, wanted), scenes(Lobe(1000.0, power)), step_m=0.0635).points
    for point, (mean, even, walls) in zip(found, (thirds, half), strict=True):
        assert point.measures.plane_avg_lx == pytest.approx(mean, rel=0.01)
        assert point.measures.min_over_avg == pytest.approx(even, abs=0.015)
        assert point.measures.wall_over_plane == pytest.approx(walls, abs=0.01)


def test_a_room_solved_once_says_the_same_as_each_layout_solved_anew():
    base, scene_of = laid(wide="160", deep="120"), scenes(ceiling=0.8, wall=0.5, floor=0.2)
    wanted = Wanted(inches(12), inches(36), inches(12))
    for point in sweep(base, ways(base, wanted), scene_of).points:
        alone = measure(solve(scene_of(point.layout), step_m=compare.COARSE_M))
        assert point.measures.walls_avg_lx == pytest.approx(alone.walls_avg_lx, rel=1e-9)
        assert point.measures.plane_min_lx == pytest.approx(alone.plane_min_lx, rel=1e-9)


def test_nearer_is_brighter_walls_in_a_usual_room():
    ratios = [point.measures.wall_over_plane for point in swept(laid(wide="228", deep="168"), 12, 48).points]
    assert ratios == sorted(ratios, reverse=True) and ratios[0] > 1.3 * ratios[-1]


@dataclass(frozen=True)
class Ring:
    """Nearly all of its light at 50 degrees from straight down: a very wide beam, dark beneath."""

    known = Known.LOBE
    flux_lm = 1000.0
    opening = Opening()
    axial = True

    def candela(self, vertical_deg, horizontal_deg=None):
        return 1000.0 * np.exp(-(((np.asarray(vertical_deg) - 50.0) / 4.0) ** 2))


def walls_hit(width, height, off):
    """Of rays at 50 degrees from a line of lights, the share that meets one of two long walls before the floor."""
    around = radians(50)
    turns = np.linspace(0, 2 * np.pi, 100_000, endpoint=False)
    sideways = np.tan(around) * height * np.cos(turns)  # where a ray is when it comes to the floor
    return np.mean((sideways > width - off) | (sideways < -off))


def test_in_a_narrow_room_with_a_very_wide_beam_nearer_may_be_darker_and_is_told_so():
    """3.2 m wide, 2.4 m high: from 1.5 m off, rays at 50 degrees meet both walls; from 0.4 m only the near one."""
    far, near = walls_hit(3.2, 2.4, 1.5), walls_hit(3.2, 2.4, 0.4)
    assert near < far
    base = lay_out(metric(12000, 3200, lights_per_row=6, row_setback=mm(1500)))
    scene_of, bench = scenes(Ring(), height_m=2.4), compare.Bench(0.1)
    other = lay_out(compare.with_setback(base.inputs, along=False, off=mm(400)), base)
    now, then = (
        compare.numbers_of(bench.solved(scene_of(one)), one, (0, 2), along=False) for one in (base, other)
    )  # fmt: skip
    assert then.off < now.off and then.near_lx < now.near_lx
    assert compare.other_way_round(now, then) and compare.other_way_round(then, now)


def test_what_breaks_a_limit_is_told_with_its_point_and_what_cannot_be_laid_out_with_its_reason():
    found = swept(laid(wide="228", deep="120", spacing_limit=inches(72)), 12, 54, counts=((2, 3), (2, 50)), step=60)
    near, far = (point for point in found.points if point.lights == 6)
    assert [finding.code for finding in near.findings][:1] == [Code.GAP_OVER_LIMIT]  # 204 / 2 in
    assert Code.GAP_OVER_LIMIT not in [finding.code for finding in far.findings]  # 120 / 2 in
    assert all(point.lights == 100 for point in found.points if point.lights != 6)


def test_twice_the_lumens_are_twice_the_light_and_the_same_ratio():
    one, two = (swept(laid(), 24, 24, emitter=Lobe(peak, 4.0)).points[0] for peak in (500.0, 1000.0))
    assert two.measures.plane_avg_lx == pytest.approx(2 * one.measures.plane_avg_lx, rel=1e-9)
    assert two.measures.wall_over_plane == pytest.approx(one.measures.wall_over_plane, rel=1e-9)


def test_a_room_turned_is_the_same_light():
    one, other = swept(laid(wide="180", deep="120"), 24, 24), swept(laid(wide="120", deep="180"), 24, 24)
    assert one.chosen.measures.wall_over_plane == pytest.approx(other.chosen.measures.wall_over_plane, rel=1e-6)
    assert one.chosen.off_ends == inches(24)


def test_progress_goes_to_its_end():
    told = []
    base = laid()
    sweep(base, ways(base, Wanted(inches(12), inches(24), inches(6), modes=HELD)), scenes(),
          progress=lambda done, total: told.append((done, total)))  # fmt: skip
    assert told == [(1, 3), (2, 3), (3, 3)]
