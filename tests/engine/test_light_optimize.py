"""Proposals for a room's light: held against an exhaustive search scored by other code, and against what must hold."""

from collections import Counter
from dataclasses import replace

import pytest

from layout.engine.findings import Code
from layout.engine.lengths import inches
from layout.engine.light import optimize
from layout.engine.light.compare import lights_of
from layout.engine.light.lobe import Lobe
from layout.engine.light.optimize import Name, beats, candidates, propose
from layout.engine.light.targets import Asked, Target
from layout.engine.light.values import LightError
from layout.engine.room import lay_out
from layout.engine.rows.wish import Mode
from tests.engine.lit_layouts import inputs, laid, metric, scenes
from tests.engine.test_light_compare import plain_loop
from tests.engine.ways_rooms import SPEAKER, joists, under

COARSE = {"step_m": 0.25, "fine_m": 0.15}
PEAK = 1000.0


def searched(base, *, emitter=None, zone=None, surfaces=None, **target):
    return propose(base, Target(**target), scenes(emitter, zone=zone, **(surfaces or {})), **COARSE)


@pytest.fixture(scope="module")
def small():
    """10 by 8 ft in black, 150 lx wanted: few enough layouts to go through by hand."""
    return searched(laid(wide="120", deep="96"), lux=150.0)


def every_layout(base, limit):
    """All that keep every rule, each once."""
    _bounds, changes = candidates(base, limit)
    seen = {}
    for change in changes:
        layout = lay_out(replace(base.inputs, **change))
        if layout.arrangement.fits:
            seen.setdefault(tuple((int(m.along), int(m.across)) for m in layout.arrangement.marks), layout)
    return list(seen.values())


# Against an exhaustive search


@pytest.fixture(scope="module")
def plainly():
    """Each layout there is in the small room, with its lights, walls over plane and level by the plain loop."""
    base = laid(wide="120", deep="96")
    return [(lights_of(one), *plain_loop(one, cell=0.2)) for one in every_layout(base, inches(96))]


def test_fewest_lights_and_brightest_walls_are_those_a_plain_search_finds(small, plainly):
    enough = [one for one in plainly if one[2] >= 150.0]
    assert len(plainly) == small.fit and len(enough) > 10
    named = {name: one for one in small.offered for name in one.names}
    assert small.meets_all
    assert named[Name.FEWEST].lights == min(lights for lights, _ratio, _level in enough)
    brightest = max(ratio for _lights, ratio, _level in enough)
    assert named[Name.BRIGHTEST].full.wall_over_plane == pytest.approx(brightest, rel=0.02)


def test_no_layout_of_the_plain_search_beats_one_that_is_shown(small, plainly):
    """Of those that give enough, each has one shown with no more lights and no darker walls; 2 % between the grids."""
    shown = [one for one in small.trade_offs if one.meets_all]
    best = {}
    for lights, ratio, level in plainly:
        if level >= 150.0:
            best[lights] = max(best.get(lights, 0.0), ratio)
    for lights, ratio in best.items():
        assert any(one.lights <= lights and one.full.wall_over_plane >= 0.98 * ratio for one in shown)


def test_a_point_that_another_beats_is_never_shown(small):
    shown = small.trade_offs
    assert len(shown) >= 2
    for one in shown:
        assert not any(other is not one and beats(other.score, one.score) for other in shown)


# Rules


def test_every_layout_shown_keeps_every_rule_and_is_laid_out_by_the_same_rules(small):
    for one in small.trade_offs:
        again = lay_out(replace(laid(wide="120", deep="96").inputs, **one.change))
        assert again.arrangement.marks == one.layout.arrangement.marks and again.arrangement.fits


def test_setbacks_stand_on_whole_tape_marks_and_no_nearer_than_a_foot(small):
    tick = small.now.layout.inputs.unit.tick.nm
    for one in small.trade_offs:
        for mark in one.layout.arrangement.marks:
            assert mark.along.nm % tick == 0 and mark.across.nm % tick == 0
            assert mark.along >= inches(12) and mark.across >= inches(12)


def test_what_stands_overhead_rules_layouts_out_and_is_counted():
    base = lay_out(inputs(wide="144", deep="96", overhead=under(joists("10"))))
    found = searched(base, lux=150.0)
    assert found.ruled_out[Code.ON_A_JOIST] > 0
    assert found.fit + found.alike + found.refused <= found.tried
    by_hand = Counter()
    for change in candidates(base, inches(96))[1]:
        findings = lay_out(replace(base.inputs, **change)).arrangement.findings
        by_hand.update({finding.code for finding in findings})
    assert found.ruled_out[Code.ON_A_JOIST] == by_hand[Code.ON_A_JOIST]
    for one in found.trade_offs:
        assert not one.layout.arrangement.findings


def test_a_tighter_spacing_limit_is_kept():
    found = propose(laid(wide="180", deep="96"), Target(lux=100.0), scenes(), spacing_limit=inches(48), **COARSE)
    for one in found.trade_offs:
        gaps = [*one.layout.arrangement.along_gaps, *one.layout.arrangement.across_gaps]
        assert all(gap <= inches(48) for gap in gaps)
    assert found.bounds.spacing_limit == inches(48)


def test_speakers_that_lights_come_too_near_to_rule_a_layout_out():
    base = lay_out(inputs(wide="144", deep="96", lights_per_row=3, speaker=SPEAKER, speaker_gaps=(1, 2),
                          light_to_speaker=inches(24)))  # fmt: skip
    found = searched(base, lux=150.0)
    assert found.ruled_out[Code.SPEAKER_NEAR_LIGHT] > 0


# What must hold


def test_more_lumens_are_more_light_and_never_more_lights(small):
    dim = searched(laid(wide="120", deep="96"), emitter=Lobe(PEAK / 2, 3.0), lux=150.0)
    fewest = [min(one.lights for one in found.trade_offs if one.meets_all) for found in (dim, small)]
    assert small.now.full.plane_avg_lx == pytest.approx(2 * dim.now.full.plane_avg_lx, rel=1e-9)
    assert fewest[1] < fewest[0]


def test_dimmed_to_what_is_wanted_and_no_lower(small):
    for one in small.trade_offs:
        [plane] = [line for line in one.lines if line.asked is Asked.PLANE]
        if one.meets_all:
            assert plane.found >= 150.0
            assert plane.found < 150.0 + one.full.plane_avg_lx / 100 + 0.01 or set(one.levels.values()) == {0.1}
        else:
            assert set(one.levels.values()) == {1.0}


def test_a_square_room_is_the_same_either_way(small):
    """Turned, the same scores: rows for columns."""
    turned = searched(laid(wide="96", deep="120"), lux=150.0)
    scores = [
        sorted((found.lights, round(found.full.wall_over_plane, 3)) for found in each.trade_offs if found.names)
        for each in (small, turned)
    ]
    assert scores[0] == scores[1]


def test_half_a_gap_is_more_even_than_equal_parts_and_wins_where_evenness_is_asked():
    """12 by 12 ft, 2 by 2, 90 degree beams: least over mean .30 at thirds, .44 at half a gap (published table)."""
    found = searched(laid(), emitter=Lobe(PEAK, 2.0), lux=150.0, uniformity=0.40)
    evenest = max(found.trade_offs, key=lambda one: one.measures.min_over_avg)
    assert evenest.measures.min_over_avg >= 0.44
    assert Mode.EVEN not in (evenest.layout.inputs.mode_along, evenest.layout.inputs.mode_across)


def test_where_nothing_meets_all_the_nearest_is_said_to_be_and_by_how_much_it_misses():
    found = searched(laid(wide="96", deep="84"), lux=150.0, wall_ratio=3.0)
    assert not found.meets_all
    nearest = next(one for one in found.offered if Name.NEAREST in one.names)
    assert nearest.miss == min(one.miss for one in found.trade_offs)
    [walls] = [line for line in nearest.lines if line.asked is Asked.WALL_RATIO]
    assert not walls.met and walls.off == pytest.approx(walls.found - 3.0)


def test_two_or_three_are_on_offer_at_most(small):
    assert 1 <= len(small.offered) <= 3
    names = [name for one in small.offered for name in one.names]
    assert {Name.FEWEST, Name.BRIGHTEST} <= set(names) and len(names) == len(set(names))


def test_brighter_walls_cost_power_and_the_least_power_is_farther_off_the_wall(small):
    """Equal parts put more on the plane than half a gap does, and less on the walls (published table)."""
    named = {name: one for one in small.offered for name in one.names}
    brightest, least = named[Name.BRIGHTEST], named[Name.LEAST]
    assert least.used == min(one.used for one in small.trade_offs if one.meets_all)
    assert least.used < brightest.used and least.measures.wall_over_plane < brightest.measures.wall_over_plane


def test_power_used_is_the_lights_watts_at_their_levels(small):
    for one in small.trade_offs:
        [level] = set(one.levels.values())
        assert one.used == pytest.approx(10.0 * level * one.lights)


def test_each_zone_of_a_proposal_has_its_level_and_what_is_wanted_is_met_at_them():
    """Lights of the first row on a zone of their own. Which zone is dimmed, and when: test_light_dimming.py."""

    def by_row(mark):
        return "A" if mark.row == 1 else "B"

    found = searched(laid(wide="96", deep="84"), zone=by_row, lux=60.0)
    assert found.meets_all
    for one in found.trade_offs:
        zones = {by_row(mark) for mark in one.layout.arrangement.marks}
        assert set(one.levels) == zones and max(one.levels.values()) < 1
        assert one.measures.plane_avg_lx >= 60.0 > 0.9 * one.measures.plane_avg_lx


# Bounds


def test_a_hall_is_searched_in_wider_steps_and_never_more_than_said():
    base = lay_out(metric(30_000, 20_000))
    bounds, changes = candidates(base, base.inputs.spacing_limit)
    assert 0 < len(changes) <= optimize.MOST_LAYOUTS
    assert all(change["rows"] * change["lights_per_row"] <= optimize.MOST_LIGHTS for change in changes)
    assert bounds.off[1] >= base.inputs.spacing_limit / 2 - bounds.step


def test_nothing_wanted_is_refused_by_name():
    with pytest.raises(LightError) as refused:
        searched(laid())
    assert refused.value.field == "lux"


def test_progress_goes_to_its_end_and_never_back():
    told = []
    propose(laid(wide="96", deep="84"), Target(lux=100.0), scenes(), progress=lambda *at: told.append(at), **COARSE)
    assert told == sorted(told) and told[-1][0] == told[-1][1] and len({total for _, total in told}) == 1
