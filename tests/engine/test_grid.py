"""A lay-in ceiling: its borders, and lights in the middles of tiles, mirrored as far as the grid mirrors."""

from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.lengths import Tape, Unit, inches, mm
from layout.engine.marks import Kind
from layout.engine.pins import Line, Moved, Pin
from layout.engine.rows.arrange import Code, Hole, Mode, Wish, arrange, say
from layout.engine.rows.grid import Border, GridError, border, choose, other_units_nominal, tiles_of, usual_grid

TWO_FOOT = inches(24)


def inch(*lengths):
    return tuple(inches(length) for length in lengths)


def tiles(size, pitch=TWO_FOOT, line=None, *, half=False, cut=False):
    return tiles_of(inches(size), pitch, line, half_tiles=half, cut_tiles=cut)


# Borders


@pytest.mark.parametrize(
    ("net", "full", "left"),
    [
        ("186", 6, "21"),  # 7 tiles leave 9 at each wall
        ("189", 6, "22 1/2"),  # 7 leave 10 1/2
        ("233 1/2", 8, "20 3/4"),  # 9 leave 8 3/4
        ("216", 9, "0"),  # divides: whole tiles at the walls
        ("192", 8, "0"),
        ("180", 6, "18"),  # 7 leave 6
        ("36", 0, "18"),  # 1 leaves 6: two cut tiles, a tee in the middle
        ("20", 0, "20"),  # one cut tile, wall to wall
    ],
)
def test_a_ceiling_never_ends_in_a_sliver(net, full, left):
    """Half-tile border rule, as quoted by public pages; the numbers by hand. Common practice, no source."""
    assert border(inches(net), TWO_FOOT) == Border(full, inches(left))


@settings(max_examples=80)
@given(net=st.integers(1, 20_000), tile=st.integers(100, 1300))
def test_borders_and_tiles_add_up_and_no_border_is_under_half_a_tile(net, tile):
    found = border(mm(net), mm(tile))
    if net < tile:
        assert found == Border(0, mm(net))
        return
    assert found.border * 2 + mm(tile) * found.full_tiles == mm(net)
    assert not found.border or found.border * 2 >= mm(tile)
    assert found.border < mm(tile)


def test_middles_by_the_border_rule():
    """186: 21 to the first tee, 12 more to its tile's middle, then every 24."""
    found = tiles(186)
    assert found.middles == inch(33, 57, 81, 105, 129, 153)
    assert (found.first_border, found.last_border, found.full, found.mirrors) == (inches(21), inches(21), 6, True)


def test_a_grid_as_found_need_not_mirror():
    """A tee found 41 from the zero side: the first one stands at 17, seven tiles lie between and 1 is left."""
    found = tiles(186, line=inches(41))
    assert (found.first_border, found.last_border, found.mirrors) == (inches(17), inches(1), False)
    assert found.middles == inch(29, 53, 77, 101, 125, 149, 173)


def test_a_tee_at_the_wall_leaves_whole_tiles():
    assert tiles(192, line=inches(48)).middles == inch(12, 36, 60, 84, 108, 132, 156, 180)


def test_half_tiles_and_cut_tiles_only_when_asked():
    assert tiles(48, half=True).middles == inch(6, 12, 18, 30, 36, 42)
    assert tiles(66, cut=True).middles == inch("10 1/2", 33, "55 1/2")
    assert tiles(66).middles == inch(33)


def test_what_is_no_grid_is_refused():
    with pytest.raises(GridError, match="more than 0"):
        tiles(100, inches(0))
    with pytest.raises(GridError, match="Check the tile's size"):
        tiles(100, inches("1/64"))


@pytest.mark.parametrize(
    ("pitch", "unit", "other"),
    [
        (inches(24), Unit.INCH, ""),
        (mm(600), Unit.MM, ""),
        (mm(600), Unit.INCH, "600 mm"),
        (inches("23 5/8"), Unit.INCH, "600 mm"),
        (mm(610), Unit.MM, "24 in"),
        (mm(1200), Unit.INCH, "1200 mm"),
        (mm(1219), Unit.MM, "48 in"),
        (inches(26), Unit.INCH, ""),
    ],
)
def test_a_metric_grid_is_no_inch_grid(pitch, unit, other):
    """600 mm is 23.622 in; 24 in is 609.6 mm (1 in = 25.4 mm, NIST SP 811, from memory)."""
    assert other_units_nominal(pitch, unit) == other


def test_the_usual_grid():
    assert usual_grid(Unit.INCH).pitch_x == inches(24)
    assert usual_grid(Unit.MM).pitch_y == mm(600)


# Lines onto tiles

OFFICE = Wish(
    along=inches(228),
    across=inches(150),
    unit=Unit.INCH,
    mode_along=Mode.WALL_HELD,
    mode_across=Mode.WALL_HELD,
    rows=2,
    columns=4,
    end_setback=inches(24),
    row_setback=inches(30),
    spacing_limit=inches(72),
    light=Hole(inches(6)),
    speaker=Hole(inches(8)),
    speaker_gaps=(),
    speaker_columns=(),
    subwoofer=None,
    edge_min=inches(4),
    web_min=inches("1 1/2"),
    speaker_to_light_min=inches(24),
    tiles_along=tiles(228),
    tiles_across=tiles(150),
)


def on_grid(wish=OFFICE, **change):
    wish = replace(wish, **change)
    return arrange(replace(wish, tiles_along=tiles_of(wish.along, TWO_FOOT, None, half_tiles=False, cut_tiles=False)))


def test_the_outer_lights_take_the_tile_nearest_to_what_was_asked():
    """228 in: 8 tiles, borders 18, middles at 30, 54 ... 198. Asked 24, 84, 144, 204: the third and the sixth tile."""
    laid = on_grid()
    assert laid.columns == inch(30, 78, 150, 198)
    assert laid.rows == inch(27, 123)  # 150: 5 tiles, borders 15; 30 asked, 27 is nearest
    assert laid.fits


def test_even_gaps_are_worth_a_tile_off_the_wall():
    """252 in: 9 tiles, borders 18. Tiles 1, 4, 6, 9 are 72, 48, 72 apart; tiles 2, 4, 6, 8 are 48 each."""
    assert on_grid(along=inches(252)).columns == inch(54, 102, 150, 198)


def test_the_spacing_limit_comes_before_the_wall():
    """With 60 between lights at most, 8 tiles of four lights can't keep the outer tiles: 72 would be over it."""
    assert on_grid(spacing_limit=inches(60)).columns == inch(54, 102, 126, 174)


def test_an_odd_row_has_no_middle_tile_in_an_even_grid():
    """240 in: 10 whole tiles, a tee in the middle. Three lights stand half a tile off it, and that is said."""
    laid = on_grid(along=inches(240), columns=3)
    assert laid.along_gaps[0] == laid.along_gaps[1] == inches(72)
    assert [(each.code, each.short_by) for each in laid.findings] == [(Code.OFF_THE_MIDDLE, inches(12))]
    assert say(laid.findings[0], Tape()) == (
        'The lights of a row can\'t mirror in 10 tiles: they stand up to 12" off the middle. Take one more or one '
        "fewer, or ask whether the grid can still be shifted."
    )


def test_speakers_take_the_tile_halfway():
    """Gaps of 48 have one tile between, in the middle."""
    laid = on_grid(along=inches(252), speaker_gaps=(1, 2, 3))
    assert laid.speaker_positions == inch(78, 126, 174)
    assert laid.fits


def test_speakers_beside_a_tee_mirror():
    """Gaps of 72 have two tiles between, a tee halfway: on both sides the tile toward the middle."""
    laid = on_grid(along=inches(240), columns=4, end_setback=inches(12), speaker_gaps=(1, 3))
    assert [inches(240) - at for at in reversed(laid.speaker_positions)] == list(laid.speaker_positions)
    assert set(laid.speaker_positions) <= set(laid.wish.tiles_along.middles)


def test_a_speaker_with_no_tile_of_its_own_is_said():
    """Three tiles, three lights: halfway is a tee."""
    laid = on_grid(along=inches(72), columns=3, speaker_gaps=(1, 2))
    assert laid.columns == inch(12, 36, 60)
    assert Code.OFF_TILE in {each.code for each in laid.findings}


def test_more_lights_than_tiles_is_nothing_at_all():
    laid = on_grid(along=inches(72), columns=4)
    assert laid.marks == ()
    assert say(laid.findings[0], Tape()) == "That many lights in a row won't fit: there are 3 tiles. Take fewer."


def test_a_pinned_column_stays_and_the_rest_take_tiles():
    laid = on_grid(pins=(Pin(Line.COLUMN, 2, inches(90)),))
    assert laid.columns[1] == inches(90)
    assert {at for at in laid.columns if at != inches(90)} <= set(laid.wish.tiles_along.middles)
    assert [(each.code, each.subject, each.short_by) for each in laid.findings] == [
        (Code.OFF_TILE, "A2", inches(12)),
    ]  # 90 is a tee; both rows


def test_a_mark_moved_into_a_cut_tile_is_said():
    laid = on_grid(moved=(Moved(Kind.LIGHT, 1, 1, inches(9), inches(27)),))
    (found,) = (each for each in laid.findings if each.code is Code.IN_A_CUT_TILE)
    assert (found.subject, found.limit) == ("A1", inches(18))
    assert say(found, Tape()).startswith('A1 stands in a cut tile at the border, 18" wide.')


def test_typed_numbers_stand_where_they_were_typed():
    laid = on_grid(mode_along=Mode.LOCKED, typed_along=inch(30, 100, 150), columns=None)
    assert laid.columns == inch(30, 100, 150)
    assert [each.code for each in laid.findings] == [Code.OFF_TILE]


def test_the_subwoofer_takes_a_tile_too():
    laid = on_grid(subwoofer=Hole(inches(10)))
    mark = laid.marks[-1]
    assert mark.along in OFFICE.tiles_along.middles and mark.across in OFFICE.tiles_across.middles


def test_a_tile_of_the_other_system_is_a_reminder_not_a_fault():
    grid = tiles_of(inches(228), mm(600), None, half_tiles=False, cut_tiles=False)
    laid = arrange(replace(OFFICE, tiles_along=grid))
    assert [each.code for each in laid.findings] == [Code.PITCH_OF_OTHER_UNIT]
    assert laid.fits


@settings(deadline=None, max_examples=60)
@given(size=st.integers(40, 400), count=st.integers(1, 8), setback=st.integers(1, 60))
def test_marks_stand_in_tiles_and_mirror_unless_it_is_said(size, count, setback):
    laid = on_grid(along=inches(size), columns=count, end_setback=inches(setback))
    if not laid.columns:
        assert len(laid.wish.tiles_along.middles) < count
        return
    assert len(set(laid.columns)) == count
    assert set(laid.columns) <= set(laid.wish.tiles_along.middles)
    mirrored = [inches(size) - at for at in reversed(laid.columns)] == list(laid.columns)
    assert mirrored == (Code.OFF_THE_MIDDLE not in {each.code for each in laid.findings})


@settings(deadline=None, max_examples=60)
@given(count=st.integers(2, 5), full=st.integers(2, 9), asked=st.data())
def test_no_other_choice_of_tiles_is_better(count, full, asked):
    """Against every choice there is: mirrored, then outer lines within a tile or two, then even, then nearest."""
    grid = tiles(24 * full)
    if full < count:
        return
    half = count // 2
    near = sorted(asked.draw(st.lists(st.integers(1, 12 * full - 1), min_size=half, max_size=half, unique=True)))
    middle = [12 * full] if count % 2 else []
    lines = inch(*near, *middle, *(24 * full - at for at in reversed(near)))

    def worth(picked):
        gaps = [b - a for a, b in pairwise(picked)]
        off = max(abs(picked[0] - grid.nearest(lines[0])), abs(picked[-1] - grid.nearest(lines[-1])))
        reach = 1 if off <= TWO_FOOT else 2 if off <= 2 * TWO_FOOT else 3
        mirrors = all(a + b == inches(24 * full) for a, b in zip(picked, reversed(picked), strict=True))
        distance = sum(abs(a - b).nm for a, b in zip(picked, lines, strict=True))
        return (not mirrors, reach, max(gaps).nm - min(gaps).nm, distance)

    chosen = choose(grid, lines, {})
    assert worth(chosen.at) == min(worth(each) for each in combinations(grid.middles, count))
