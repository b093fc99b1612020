"""What a solved room must hold whatever the room: dimming, moving, mirroring, scaling; and what is refused, by name."""

from dataclasses import replace
from math import inf, nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.light import patches as sizes
from layout.engine.light.solve import solve
from layout.engine.light.values import Dims, LightError, On, Opening, Room, Scene, Task
from tests.engine.lit_rooms import BOX, ELL, box, can, ell, larger, mean, media_room, two_cans

COARSE = 0.3


def test_grids_come_in_order_and_lie_on_their_surfaces():
    board = Task("board", (0.5, 3.0, 1.0), (2.0, 0, 0), (0, 0, 1.2))
    solved = solve(two_cans(tasks=(board,)), step_m=COARSE)
    assert [grid.name for grid in solved.grids] == [
        *("plane", "floor", "ceiling", "wall 1", "wall 2", "wall 3", "wall 4", "board")
    ]
    heights = {grid.name: grid.points[:, 2] for grid in solved.grids}
    assert (heights["plane"] == 0.762).all()
    assert (heights["floor"] == 0).all()
    assert (heights["ceiling"] == 2.5).all()
    inward = {"wall 1": (0, 1, 0), "wall 2": (-1, 0, 0), "wall 3": (0, -1, 0), "wall 4": (1, 0, 0)}
    for name, normal in {**inward, "ceiling": (0, 0, -1)}.items():
        assert solved.grid(name).normal == pytest.approx(normal)


def test_a_wall_runs_left_to_right_as_it_is_seen_from_inside():
    """Facing the door wall from inside, its left end is the room's right one."""
    grid = solve(two_cans(), step_m=COARSE).grid("wall 1")
    assert grid.origin == pytest.approx([4, 0, 0])
    assert grid.step_u[0] < 0 < grid.step_v[2]
    spot = grid.origin + (grid.at[:, :1] + 0.5) * grid.step_u + (grid.at[:, 1:] + 0.5) * grid.step_v
    assert spot == pytest.approx(grid.points)


def test_points_of_a_cut_room_are_inside_it():
    for scene in (ell(), Scene(Room(((0, 0), (4, 0), (3, 2.5), (1, 3)), 2.5), (can("a", 2, 1),))):
        grid = solve(scene, step_m=COARSE).grid("floor")
        assert grid.table(grid.areas).shape == (grid.rows, grid.columns)
        assert np.isnan(grid.table(grid.areas)).any()
        for (ax, ay), (bx, by) in zip(scene.room.corners, scene.room.corners[1:], strict=False):
            if scene.room.corners != ELL:  # convex: inside is left of every edge
                x, y = grid.points[:, 0], grid.points[:, 1]
                assert ((bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0).all()
        if scene.room.corners == ELL:
            assert not ((grid.points[:, 0] > 2) & (grid.points[:, 1] > 2)).any()


def test_light_is_what_each_light_gives_and_what_each_zone_gives():
    solved = solve(box(can("a", 1, 1, zone="A"), can("b", 3, 1, zone="B"), can("c", 2, 2, zone="B")), step_m=COARSE)
    for name in ("plane", "ceiling", "wall 2"):
        assert sum(solved.of_light(name, each) for each in "abc") == pytest.approx(solved.lux(name))
        assert sum(solved.of_zone(name, each) for each in "AB") == pytest.approx(solved.lux(name))
        assert solved.direct(name) + solved.indirect(name) == pytest.approx(solved.lux(name))


def test_dimming_weighs_and_zones_give_way_to_lights():
    lights = can("a", 1, 1, zone="A"), can("b", 3, 1, zone="B", dim=0.5), can("c", 2, 2, zone="B", factor=0.8)
    solved = solve(box(*lights), step_m=COARSE)
    a, b, c = (solved.of_light("plane", each) for each in "abc")
    assert solved.lux("plane") == pytest.approx(a + 0.5 * b + c)
    assert solved.lux("plane", Dims(zones={"B": 0.2})) == pytest.approx(a + 0.2 * b + 0.2 * c)
    assert solved.lux("plane", Dims({"B": 0.2}, {"c": 1.0, "a": 0.0})) == pytest.approx(0.2 * b + c)
    bright = solve(box(*(replace(each, factor=1.0) for each in lights)), step_m=COARSE)
    assert c == pytest.approx(0.8 * bright.of_light("plane", "c"))


def test_dimming_in_the_scene_is_dimming_afterwards():
    scene = two_cans()
    dimmed = replace(scene, lights=tuple(replace(each, dim=0.3) for each in scene.lights))
    one, other = solve(scene, step_m=COARSE), solve(dimmed, step_m=COARSE)
    assert other.lux("wall 3") == pytest.approx(0.3 * one.lux("wall 3"))
    assert other.balance.received == pytest.approx(0.3 * one.balance.received)


@pytest.mark.parametrize("scene", [two_cans(), ell()], ids=["box", "L"])
def test_a_light_moved_is_the_room_solved_afresh(scene):
    solved = solve(scene, step_m=COARSE)
    moved = replace(scene.lights[0], x=1.4, y=0.7, tilt_deg=20.0, toward_deg=45.0)
    afresh = solve(replace(scene, lights=(moved, *scene.lights[1:])), step_m=COARSE)
    quick = solved.with_light(moved)
    for grid in solved.grids:
        assert quick.lux(grid.name) == pytest.approx(afresh.lux(grid.name), rel=1e-12)
    assert quick.scene == afresh.scene
    assert quick.balance == afresh.balance
    assert solved.lux("plane") == pytest.approx(solve(scene, step_m=COARSE).lux("plane"), rel=1e-12)


def test_other_lights_in_the_same_room_are_the_room_solved_afresh():
    scene = two_cans()
    lights = (scene.lights[1], can("new", 2.0, 0.4), can("b2", 0.4, 2.0, power=6.0))
    quick, afresh = solve(scene, step_m=COARSE).with_lights(lights), solve(replace(scene, lights=lights), step_m=COARSE)
    assert quick.lux("wall 1") == pytest.approx(afresh.lux("wall 1"), rel=1e-12)
    assert quick.of_light("floor", "new") == pytest.approx(afresh.of_light("floor", "new"), rel=1e-12)


def test_the_same_light_dimmed_is_not_computed_again():
    scene = two_cans()
    solved = solve(scene, step_m=COARSE)
    assert solved.with_light(replace(scene.lights[0], dim=0.1)).shares[0] is solved.shares[0]


def test_lights_mirrored_light_the_room_mirrored():
    scene = two_cans()
    mirrored = replace(scene, lights=tuple(replace(each, x=4.0 - each.x) for each in scene.lights))
    one, other = solve(scene), solve(mirrored)
    for name in ("plane", "floor", "ceiling"):
        there, back = one.grid(name).table(one.lux(name)), other.grid(name).table(other.lux(name))
        assert back[:, ::-1] == pytest.approx(there, rel=1e-9)
    assert other.lux("wall 2").sum() == pytest.approx(one.lux("wall 4").sum(), rel=1e-9)


def test_a_room_turned_a_quarter_is_lit_alike():
    scene = box(can("a", 1.0, 1.0), can("b", 3.1, 2.2, tilt_deg=25, toward_deg=10))
    turned = box(can("a", 2.0, 1.0), can("b", 3 - 2.2, 3.1, tilt_deg=25, toward_deg=100), wide=3.0, deep=4.0)
    one, other = solve(scene), solve(turned)
    told = one.grid("plane").table(one.lux("plane"))
    assert np.rot90(other.grid("plane").table(other.lux("plane"))) == pytest.approx(told, rel=1e-6)


def test_a_room_twice_as_large_has_a_quarter_of_the_light():
    scene = two_cans()
    one, other = solve(scene, step_m=0.25), solve(larger(scene, 2), step_m=0.5)
    for name in ("plane", "floor", "wall 1"):
        assert other.direct(name) == pytest.approx(one.direct(name) / 4, rel=1e-9)
        assert mean(other, name) == pytest.approx(mean(one, name) / 4, rel=0.01)


@pytest.mark.parametrize("scene", [two_cans(), ell()], ids=["box", "L"])
def test_any_point_is_read_as_the_grids_are(scene):
    solved = solve(scene)
    for name, off in (("plane", 0.04), ("floor", 0.04), ("wall 2", 0.06)):
        grid = solved.grid(name)
        some = slice(len(grid.points) // 3, None, 97)
        told = solved.at(grid.points[some], np.tile(grid.normal, (len(grid.points[some]), 1)))
        assert told == pytest.approx(solved.lux(name)[some], rel=off)


def test_a_task_is_lit_as_points_in_its_place_are():
    desk = Task("desk", (1.0, 1.0, 0.74), (1.2, 0, 0), (0, 0.6, 0))
    board = Task("board", (0.5, 2.99, 1.0), (2.0, 0, 0), (0, 0, 1.2))
    solved = solve(two_cans(tasks=(desk, board)))
    for name in ("desk", "board"):
        grid = solved.grid(name)
        assert grid.on is On.TASK
        told = solved.at(grid.points, np.tile(grid.normal, (len(grid.points), 1)))
        assert solved.lux(name) == pytest.approx(told, rel=0.02)
    assert solved.grid("desk").areas.sum() == pytest.approx(0.72)
    assert solved.grid("board").normal == pytest.approx([0, -1, 0])


def test_progress_counts_up_to_the_end():
    told = []
    solve(two_cans(), step_m=COARSE, progress=lambda done, total: told.append((done, total)))
    assert [done for done, _ in told] == sorted({done for done, _ in told})
    assert told[-1][0] == told[-1][1]
    assert len({total for _, total in told}) == 1


def test_a_large_floor_gets_a_wider_step_and_keeps_its_points_in_bounds():
    wide = box(can("a", 18, 12, 2.7), wide=36.6, deep=24.4, height=2.7)
    solved = solve(wide)
    assert sum(len(grid.points) for grid in solved.grids) < 1.15 * sizes.MOST_POINTS
    assert solved.balance.patches < 1.3 * sizes.MOST_PATCHES


def test_a_light_in_a_tray_gives_the_ceiling_nothing_of_its_own():
    solved = solve(box(can("a", 2, 1.5, z=2.7)), step_m=COARSE)
    assert (solved.direct("ceiling") == 0).all()
    assert solved.direct("floor").min() > 0


def test_a_media_room_of_twelve_lights_is_even_both_ways():
    solved = solve(media_room())
    for name in ("plane", "floor", "ceiling"):
        table = solved.grid(name).table(solved.lux(name))
        assert table == pytest.approx(table[::-1], rel=1e-6)
        assert table == pytest.approx(table[:, ::-1], rel=1e-6)


GOOD = two_cans()
LAMP = GOOD.lights[0]


def room(**change):
    return replace(GOOD, room=replace(GOOD.room, **change))


def lamp(**change):
    return replace(GOOD, lights=(replace(LAMP, **change),))


BOWTIE = ((0.0, 0.0), (4.0, 3.0), (4.0, 0.0), (0.0, 3.0))
REFUSED = [
    *((room(floor=value), "floor") for value in (1.0, 1.2, -0.1, nan)),
    (room(ceiling=1.0), "ceiling"),
    (room(wall=inf), "wall"),
    (room(walls=(0.5, 0.5, 1.0, 0.5)), "walls"),
    (room(walls=(0.5,)), "walls"),
    *((room(height_m=value), "height_m") for value in (0.0, -2.0, nan, 4000.0)),
    (room(slope=(-1.0, 0.0)), "slope"),
    (room(slope=(nan, 0.0)), "slope"),
    *((replace(GOOD, plane_m=value), "plane_m") for value in (0.0, -1.0, 2.5, 3.0, nan)),
    (room(corners=BOWTIE), "corners"),
    (room(corners=BOX[::-1]), "corners"),
    (room(corners=BOX[:2]), "corners"),
    (room(corners=((0.0, 0.0), (4.0, 0.0), (2.0, 0.0))), "corners"),
    (room(corners=((0.0, 0.0), (4.0, 0.0), (4.0, 0.0), (0.0, 3.0))), "corners"),
    (room(corners=((0.0, 0.0), (nan, 0.0), (4.0, 3.0))), "corners"),
    (room(corners=((0.0, 0.0), (1e6, 0.0), (4.0, 3.0))), "corners"),
    (replace(GOOD, lights=()), "lights"),
    (replace(GOOD, lights=(LAMP, LAMP)), "lights"),
    (replace(GOOD, lights=tuple(replace(LAMP, id=str(n)) for n in range(1001))), "lights"),
    (lamp(x=4.5), "x"),
    (lamp(x=nan), "x"),
    (lamp(z=0.0), "z"),
    (lamp(z=5.0), "z"),
    *((lamp(tilt_deg=value), "tilt_deg") for value in (-1.0, 181.0, nan)),
    (lamp(toward_deg=inf), "toward_deg"),
    (lamp(spin_deg=nan), "spin_deg"),
    *((lamp(dim=value), "dim") for value in (-0.1, 1.1, nan)),
    *((lamp(factor=value), "factor") for value in (0.0, -1.0, nan, 50.0)),
    (replace(GOOD, tasks=(Task("desk", (3.5, 1, 0.7), (1, 0, 0), (0, 1, 0)),)), "tasks"),
    (replace(GOOD, tasks=(Task("desk", (1, 1, 0.7), (1, 0, 0), (2, 0, 0)),)), "tasks"),
    (replace(GOOD, tasks=(Task("plane", (1, 1, 0.7), (1, 0, 0), (0, 1, 0)),)), "tasks"),
]


@pytest.mark.parametrize(("scene", "field"), REFUSED)
def test_what_cannot_be_is_refused_by_its_field(scene, field):
    with pytest.raises(LightError) as refused:
        solve(scene, step_m=COARSE)
    assert refused.value.field == field
    assert len(str(refused.value)) > 20


@pytest.mark.parametrize("step", [0.0, -1.0, nan, 1e-4])
def test_a_step_that_is_none_is_refused(step):
    with pytest.raises(LightError) as refused:
        solve(GOOD, step_m=step)
    assert refused.value.field == "step_m"


def test_a_name_no_surface_or_light_has_and_a_dim_level_that_is_none():
    solved = solve(GOOD, step_m=COARSE)
    for ask in (
        lambda: solved.lux("attic"),
        lambda: solved.of_light("plane", "z"),
        lambda: solved.with_light(can("z", 1, 1)),
        lambda: solved.lux("plane", Dims(zones={"B": 1.5})),
        lambda: solved.with_light(replace(LAMP, x=9.0)),
    ):
        with pytest.raises(LightError):
            ask()


meters = st.floats(1.5, 8.0)
share = st.floats(0.0, 0.95)


@st.composite
def scenes(draw):
    wide, deep, height = draw(meters), draw(meters), draw(st.floats(2.0, 5.0))
    if draw(st.booleans()):
        corners = ((0, 0), (wide, 0), (wide, deep), (0, deep))
    else:
        x, y = draw(st.floats(0.25, 0.75)) * wide, draw(st.floats(0.25, 0.75)) * deep
        corners = ((0, 0), (wide, 0), (wide, y), (x, y), (x, deep), (0, deep))
    opening = draw(st.sampled_from([Opening(), Opening(0.15, 0.15, 0, True), Opening(0.3, 1.2)]))
    lights = []
    for number in range(draw(st.integers(1, 3))):
        u, v = draw(st.floats(0.05, 0.95)), draw(st.floats(0.05, 0.95))
        x, y = (u * wide, v * corners[2][1]) if draw(st.booleans()) else (u * corners[-2][0], v * deep)
        power, tilt = draw(st.floats(0.0, 30.0)), draw(st.floats(0.0, 60.0))
        aim = {"tilt_deg": tilt, "toward_deg": draw(st.floats(0, 360))}
        lights.append(can(f"{number}", x, y, height, 300, power, opening, **aim))
    room = Room(corners, height, draw(share), draw(share), draw(share))
    return Scene(room, tuple(lights), plane_m=draw(st.floats(0.1, 1.5)))


def keeps_its_light(scene):
    solved = solve(scene, step_m=0.4)
    balance = solved.balance
    assert abs(balance.residual) < 1e-6
    for grid in solved.grids:
        lux = solved.lux(grid.name)
        assert np.isfinite(lux).all()
        assert (solved.direct(grid.name) >= 0).all()
        assert lux.min() >= -1e-9 * max(lux.max(), 1.0)
    assert balance.received > 0
    darker = replace(scene, room=replace(scene.room, floor=0.0, ceiling=0.0, wall=0.0))
    assert (solved.lux("plane") >= solve(darker, step_m=0.4).lux("plane") - 1e-9).all()


@settings(max_examples=10)
@given(scenes())
def test_in_any_room_light_is_kept_and_none_is_less_than_none(scene):
    keeps_its_light(scene)


@pytest.mark.long
@settings(max_examples=200)
@given(scenes())
def test_in_many_rooms_light_is_kept_and_none_is_less_than_none(scene):
    keeps_its_light(scene)
