"""Reflected light: what an enclosure must do by law, closed forms, and photons that know nothing of the engine."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from layout.engine.light import patches as sizes
from layout.engine.light.ground import ground_of
from layout.engine.light.solve import solve
from layout.engine.light.values import Opening, Room, Scene
from tests.engine.judge_light import Hall, Lamp, photons
from tests.engine.lit_rooms import BOX, ELL, box, can, ell, mean, two_cans

SLOPED = Scene(Room(BOX, 2.4, slope=(0.2, 0.0)), (can("a", 2.0, 1.0, 2.7),))
KITE = ((0.0, 0.0), (4.0, 0.0), (5.0, 2.0), (3.0, 2.2), (2.5, 4.0), (-0.5, 3.0))
KITED = Scene(Room(KITE, 2.5, 0.3, 0.8, 0.5), (can("a", 1.0, 1.0), can("b", 4.0, 1.5, power=1.0)))
ROOMS = [two_cans(), ell(), SLOPED, KITED]
NAMES = ["box", "L", "sloped", "six walls"]
once = cache(solve)  # the same room, asked after by several tests
grounds = cache(ground_of)


@pytest.mark.parametrize("scene", ROOMS, ids=NAMES)
def test_light_goes_both_ways_alike_and_none_is_lost(scene):
    ground = grounds(scene, 0.127)
    factors, areas = ground.mirror.factors, ground.patches.areas
    exchange = factors * areas[:, None]
    assert np.abs(exchange - exchange.T).max() < 1e-12
    assert np.abs(factors.sum(axis=1) - 1).max() < 1e-9
    assert (factors >= -1e-12).all()


@pytest.mark.parametrize("scene", ROOMS, ids=NAMES)
def test_all_that_falls_on_surfaces_is_swallowed_in_the_end(scene):
    assert abs(once(scene).balance.residual) < 1e-6


@pytest.mark.parametrize(("scene", "off"), list(zip(ROOMS, (1e-9, 0.05, 0.02, 0.2), strict=True)), ids=NAMES)
def test_how_far_rows_were_from_1_before_they_were_closed_is_told(scene, off):
    """Closed forms in a box; elsewhere sums of points, coarse beside a corner that turns in."""
    assert once(scene).balance.worst_row < off


@pytest.mark.parametrize("scene", ROOMS, ids=NAMES)
def test_surfaces_cover_the_room(scene):
    ground = grounds(scene, 0.127)
    grids = {grid.name: grid.areas.sum() for grid in ground.grids}
    xs, ys = np.array(scene.room.corners).T
    floor = (xs @ np.roll(ys, -1) - ys @ np.roll(xs, -1)) / 2
    assert grids["floor"] == pytest.approx(floor)
    assert grids["ceiling"] == pytest.approx(floor * np.sqrt(1 + scene.room.slope[0] ** 2))
    assert grids["plane"] == pytest.approx(floor)
    assert ground.patches.areas.sum() == pytest.approx(sum(grids.values()) - floor)


@pytest.mark.parametrize("scene", ROOMS, ids=NAMES)
def test_one_reflectance_everywhere_makes_the_mean_level_flux_over_what_is_swallowed(scene):
    """Integrating enclosure: mean lux = flux / (A (1 - rho)), wherever the light is from."""
    scene = replace(scene, room=replace(scene.room, floor=0.5, ceiling=0.5, wall=0.5, walls=()))
    solved = solve(scene)
    grids = [grid for grid in solved.grids if grid.name != "plane"]
    area = sum(grid.areas.sum() for grid in grids)
    told = sum(solved.lux(grid.name) @ grid.areas for grid in grids) / area
    balance = solved.balance
    assert told == pytest.approx(balance.emitted / (area * 0.5), rel=0.01)
    assert balance.absorbed == pytest.approx(balance.received, rel=1e-9)


def test_an_evenly_lit_enclosure_is_101_695_lx():
    """3000 lm, 59 m2, reflectance .5 (4 x 3 x 2.5 m)."""
    solved = solve(box(can("a", 1.2, 0.9, peak=3000 * 3 / (2 * np.pi)), floor=0.5, ceiling=0.5, wall=0.5), step_m=0.06)
    told = sum(solved.lux(grid.name) @ grid.areas for grid in solved.grids[1:]) / 59
    assert told == pytest.approx(101.694915, rel=0.003)


def test_black_surfaces_send_nothing_back():
    solved = solve(two_cans(floor=0.0, ceiling=0.0, wall=0.0))
    assert all((solved.indirect(grid.name) == 0).all() for grid in solved.grids)


def test_a_floor_evenly_lit_by_3000_lm_agrees_with_the_worked_box(monkeypatch):
    """4 x 3 x 2.5 m, floor .2, ceiling .7, walls .5: one patch a surface gives 262.733, 23.314, 22.569, 22.420 lx."""
    monkeypatch.setattr(sizes, "groups", lambda count, step, patch_m: np.array([0, count]))
    mirror = ground_of(box(can("a", 2, 1.5), floor=0.2, ceiling=0.7, wall=0.5), 0.127).mirror
    falls = np.array([3000 / 12, 0, 0, 0, 0, 0])
    told = falls + mirror.factors @ mirror.leaving @ falls
    assert told == pytest.approx([262.733, 23.314, 22.569, 22.420, 22.569, 22.420], abs=0.005)


def test_a_box_walked_with_a_corner_too_many_is_the_same_box():
    """The extra corner sends it the way of polygons: contours from points in place of closed forms."""
    scene = two_cans()
    other = replace(scene, room=replace(scene.room, corners=((0.0, 0.0), (2.0, 0.0), *BOX[1:])))
    one, two = once(scene), solve(other)
    for name in ("plane", "floor", "ceiling"):
        assert mean(two, name) == pytest.approx(mean(one, name), rel=0.01)
        assert np.abs(two.lux(name) - one.lux(name)).max() < 0.08 * mean(one, name)


def test_a_ceiling_that_hardly_slopes_is_a_flat_one():
    flat, sloped = once(two_cans()), solve(two_cans(slope=(1e-9, 0.0)))
    for name in ("plane", "floor", "ceiling", "wall 1", "wall 2"):
        assert mean(sloped, name) == pytest.approx(mean(flat, name), rel=0.015)


@pytest.mark.parametrize("scene", [two_cans(), ell()], ids=["box", "L"])
def test_finer_patches_change_little(scene, monkeypatch):
    """What the ordinary patch size has to hold: means within 1 %, the plane within 3 %, 8 % beside an inner corner."""
    usual = once(scene)
    monkeypatch.setattr(sizes, "PATCHES", 1200)
    monkeypatch.setattr(sizes, "READ_M", 0.26)
    fine = solve(scene)
    assert fine.balance.patches > 1.4 * usual.balance.patches
    for grid in usual.grids:
        assert mean(usual, grid.name) == pytest.approx(mean(fine, grid.name), rel=0.01)
    off = np.abs(usual.lux("plane") / fine.lux("plane") - 1)
    assert np.quantile(off, 0.99) < 0.03
    assert off.max() < 0.08


def _hall(scene):
    room = scene.room
    walls = [room.reflectance_of(n) for n in range(len(room.corners))]
    return Hall(list(room.corners), room.height_m, [room.floor, room.ceiling, *walls], room.slope[0], scene.plane_m)


def _lamp(light):
    lobe, opening = light.emitter, light.emitter.opening
    return Lamp(
        (light.x, light.y, light.z),
        2 * np.pi * lobe.peak_cd / (lobe.power + 1),
        lobe.power,
        light.tilt_deg,
        light.toward_deg,
        opening.width,
        opening.length,
    )


JUDGED = {
    "box": two_cans(floor=0.2, ceiling=0.7, wall=0.5),
    "L": ell(),
    "six walls": KITED,
    "sloped": SLOPED,
    "tilted": box(can("a", 1.0, 1.0, power=4.0, tilt_deg=35, toward_deg=60)),
    "panel": box(can("a", 2.4, 0.7, peak=955.0, power=1.0, opening=Opening(0.6, 1.2))),
}


@pytest.mark.parametrize("name", JUDGED)
def test_photons_land_where_the_engine_says(name):
    """Surface by surface and on the work plane: within 4 standard errors of the photons, or 1 %."""
    _judge(JUDGED[name], 200_000, 0.01)


@pytest.mark.long
@pytest.mark.parametrize("name", JUDGED)
def test_many_photons_land_where_the_engine_says(name):
    _judge(JUDGED[name], 4_000_000, 0.01)


def _judge(scene, count, share):
    solved = once(scene)
    told, error = photons(_hall(scene), [_lamp(light) for light in scene.lights], count, seed=7)
    # Photons are shared out evenly among lamps, each with its own flux.
    names = ["floor", "ceiling", *(f"wall {n + 1}" for n in range(len(scene.room.corners))), "plane"]
    for name, lux, off in zip(names, told, error, strict=True):
        assert mean(solved, name) == pytest.approx(lux, abs=max(4 * off, share * lux)), name


def test_a_corner_hides_what_bounces_too():
    """The far end of an L is lit by what comes round the corner, and dimmer than the end the light is in."""
    solved = solve(Scene(Room(ELL, 2.5), (can("a", 1.0, 3.5),)))
    floor = solved.grid("floor").points
    far, near = floor[:, 0] > 4, floor[:, 1] > 3
    assert (solved.direct("floor")[far] == 0).mean() > 0.5
    assert (solved.indirect("floor")[far] > 0).all()
    assert solved.indirect("floor")[far].mean() < solved.indirect("floor")[near].mean() / 2
