"""A room that is no rectangle is laid out zone by zone, and reads as one room."""

from dataclasses import replace
from itertools import pairwise

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from layout.engine.ceiling import Corner, Region, ZoneWish
from layout.engine.lengths import ZERO, Style, Tape, Unit, inches, mm
from layout.engine.marks import Axis, Kind, Orientation, Side
from layout.engine.pins import Line, Moved, Pin
from layout.engine.rows.arrange import Code, Hole, Mode, Wish, arrange, say
from layout.engine.rows.grid import tiles_of
from layout.engine.rows.wish import WishError
from layout.engine.shape.outline import Cutout, OutlineError, outline_of, rectangle
from layout.engine.shape.rectangles import TooManyPieces
from layout.engine.zones.lay_out import Shape, lay_out_zones
from layout.engine.zones.lines import Opening, OwnRows, drawn_onto, filled, lines_needed, rows_through, shared

PLAIN = Tape(Style.INCHES, 16)
FACING_FAR = Orientation(Axis.LEFT_RIGHT)
HOLES = {Kind.LIGHT: Cutout(inches(6)), Kind.SPEAKER: Cutout(inches(8)), Kind.SUBWOOFER: Cutout(inches(10))}
WISH = Wish(
    along=inches(240), across=inches(168), unit=Unit.INCH, mode_along=Mode.WALL_HELD, mode_across=Mode.WALL_HELD,
    rows=2, columns=None, end_setback=inches(24), row_setback=inches(30), spacing_limit=inches(66),
    light=Hole(inches(6)), speaker=Hole(inches(8)), speaker_gaps=(), speaker_columns=(), subwoofer=None,
    edge_min=inches(4), web_min=inches("1 1/2"), speaker_to_light_min=inches(24),
)  # fmt: skip


def corners(*points):
    return tuple(Corner(inches(x), inches(y)) for x, y in points)


def box(left, door, right, far):
    return corners((left, door), (right, door), (right, far), (left, far))


def inches_of(*lengths):
    return tuple(inches(length) for length in lengths)


def shape(outline, **more):
    return Shape(outline, outline.wide, outline.deep, FACING_FAR, HOLES, **more)


def wish_for(outline, **more):
    return replace(WISH, along=outline.wide.exact(), across=outline.deep.exact(), **more)


def inch(lengths):
    return [float(length.inches) for length in lengths]


PLAIN_ROOM = rectangle(inches(240), inches(168))
# 20 ft by 14 ft with a wing 8 ft deep and 10 ft wide on the right, flush with the door wall
WING = outline_of(corners((0, 0), (360, 0), (360, 96), (240, 96), (240, 168), (0, 168)))
# The same room with an alcove 12 ft wide and 5 ft deep behind its left half
ALCOVE = outline_of(corners((0, 0), (240, 0), (240, 168), (144, 168), (144, 228), (0, 228)))
TRAY = Region("tray", box(60, 48, 180, 120), inches(8))


def test_a_plain_rectangle_is_laid_out_as_ever():
    """One zone: the same marks as without zones."""
    assert lay_out_zones(WISH, shape(PLAIN_ROOM)).marks == arrange(WISH).marks


def test_a_wing_takes_the_rooms_row_that_runs_into_it():
    """Rows at 30 and 138; the wing covers 0 to 96, so it takes the one at 30 and gets one more toward its far wall:
    66 left of 96 - 30, less 30 off the wall is 36, more than half of 66."""
    zoned = lay_out_zones(wish_for(WING), shape(WING))
    main, wing = zoned.zones
    assert inch(main.rows) == [30, 138]
    assert inch(wing.rows) == [30, 66]
    assert [one.zone.name for one in zoned.zones] == ["A", "B"]


def test_an_alcove_takes_the_rooms_columns():
    """240 - 48 = 192 in 3 gaps of 64: 24, 88, 152, 216. The alcove is 144 wide: 24 and 88, and 56 is left, no more."""
    zoned = lay_out_zones(wish_for(ALCOVE), shape(ALCOVE))
    main, alcove = zoned.zones
    assert inch(main.columns) == [24, 88, 152, 216]
    assert inch(alcove.columns) == [24, 88]
    assert inch(alcove.rows) == [198]  # down its own middle: 168 + 60 / 2


def test_numbers_go_on_from_zone_to_zone_and_every_light_has_its_zones_letter():
    zoned = lay_out_zones(wish_for(ALCOVE), shape(ALCOVE))
    assert [mark.id for mark in zoned.marks] == [*(f"A{n}" for n in range(1, 9)), "B9", "B10"]
    assert [mark.zone for mark in zoned.marks] == ["A"] * 8 + ["B"] * 2
    assert [mark.row for mark in zoned.marks] == [1] * 4 + [2] * 4 + [3] * 2


def test_speakers_and_the_subwoofer_go_with_the_largest_zone():
    zoned = lay_out_zones(wish_for(ALCOVE, speaker_gaps=(1, 3), subwoofer=Hole(inches(10))), shape(ALCOVE))
    assert [mark.id for mark in zoned.marks if mark.kind is not Kind.LIGHT] == ["SP1", "SP2", "SP3", "SP4", "SW1"]
    assert all(mark.across < inches(168) for mark in zoned.marks if mark.kind is not Kind.LIGHT)


def test_a_gap_across_a_join_over_the_limit_is_said():
    """The room's last row stands 30 before the join, the alcove's only one 30 after it: 60, 2 over 58."""
    wish = wish_for(ALCOVE, spacing_limit=inches(58), columns=5)
    zoned = lay_out_zones(wish, shape(ALCOVE, wishes=(ZoneWish("B", rows=1),)))
    said = [say(finding, PLAIN) for finding in zoned.findings]
    assert said == ['A6 to B11 is 60": 2" over the 58" limit.']


def test_each_zone_may_have_its_own_count():
    zoned = lay_out_zones(wish_for(ALCOVE), shape(ALCOVE, wishes=(ZoneWish("B", rows=1, columns=1),)))
    assert inch(zoned.zones[1].columns) == [72]
    assert len(zoned.marks) == 9


def test_no_hole_stands_off_the_ceiling_in_a_zone_drawn_too_large():
    """Drawn by hand over the missing corner of the wing: lights past the outline are named, not hidden. In 360 in there
    are 24, 86.4, ... 273.6, 336: the last two of the row at 138 are 42 past the wing's wall at 96."""
    by_hand = Region("all", box(0, 0, 360, 168), ZERO)
    zoned = lay_out_zones(wish_for(WING), shape(WING, regions=(by_hand,), wishes=(ZoneWish("all", rows=2),)))
    outside = [finding for finding in zoned.findings if finding.code is Code.OUTSIDE_OUTLINE]
    assert len(outside) == 1 and outside[0].more == 1
    assert outside[0].short_by == inches(42)  # the farther one; 273 5/8 is 33 5/8 past the wall at 240
    assert not [finding for finding in zoned.findings if finding.code is Code.ON_REGION_EDGE]


def test_parts_of_the_ceiling_that_overlap_are_refused():
    both = (Region("tray", box(20, 20, 100, 100), inches(6)), Region("coffer", box(90, 20, 200, 100), inches(6)))
    with pytest.raises(WishError, match="tray and coffer overlap"):
        lay_out_zones(WISH, shape(PLAIN_ROOM, regions=both))


def test_a_ceiling_too_jagged_to_cut_is_laid_out_in_zones_drawn_by_hand():
    teeth = [(6 * n + dx, y) for n in range(70) for dx, y in ((0, 168), (0, 178 + n), (3, 178 + n), (3, 168))]
    saw = outline_of(corners(*teeth, (420, 168), (420, 0), (0, 0)))
    with pytest.raises(TooManyPieces):
        lay_out_zones(wish_for(saw), shape(saw))
    by_hand = Region("room", box(0, 0, 420, 168), ZERO)
    zoned = lay_out_zones(wish_for(saw), shape(saw, regions=(by_hand,), wishes=(ZoneWish("room", rows=2),)))
    assert {mark.across for mark in zoned.marks} == {inches(30), inches(138)}


def test_a_corner_that_sticks_in_is_kept_clear_of():
    """The corner is at 240, 96. From 5 in before it both ways it is 7.07 in off, from 4 in before it 5.66; 3 + 4 are
    needed."""
    typed = wish_for(
        WING, mode_along=Mode.LOCKED, mode_across=Mode.LOCKED, typed_along=inches_of(235), typed_across=inches_of(91)
    )
    assert not lay_out_zones(typed, shape(WING)).findings
    nearer = replace(typed, typed_along=inches_of(236), typed_across=inches_of(92))
    (found,) = lay_out_zones(nearer, shape(WING)).findings
    assert found.code is Code.TOO_CLOSE_TO_EDGE
    assert float(found.short_by.inches) == pytest.approx(7 - 32**0.5, abs=1e-6)


def test_typed_lines_run_through_every_zone_they_cross():
    typed = wish_for(WING, mode_across=Mode.LOCKED, typed_across=(inches(48), inches(140)))
    zoned = lay_out_zones(typed, shape(WING))
    assert [inch(one.rows) for one in zoned.zones] == [[48, 140], [48]]


def test_rows_of_speakers_without_a_speaker_are_refused_with_words():
    base = wish_for(WING, rows_of=Kind.SPEAKER, speaker=None)
    holes = {Kind.LIGHT: Cutout(inches(6))}
    with pytest.raises(WishError, match="Choose the speaker"):
        lay_out_zones(base, replace(shape(WING), holes=holes, wishes=(ZoneWish("A", rows=1),)))


def test_a_typed_line_on_no_part_of_the_ceiling_is_refused():
    typed = wish_for(WING, mode_across=Mode.LOCKED, typed_across=(inches(48), inches(400)))
    with pytest.raises(WishError, match="400 in is on no part"):
        lay_out_zones(typed, shape(WING))


def test_a_nook_too_narrow_for_a_light_gets_none_unless_asked_for():
    nook = outline_of(corners((0, 0), (240, 0), (240, 60), (258, 60), (258, 120), (240, 120), (240, 168), (0, 168)))
    assert lay_out_zones(wish_for(nook), shape(nook)).zones[1].arrangement is None
    asked = lay_out_zones(wish_for(nook), shape(nook, wishes=(ZoneWish("B", rows=1, columns=1),)))
    assert inch(asked.zones[1].columns) == [249]


def test_the_zero_corner_may_be_any_of_the_four():
    """Turned about, the wing's shared row is 30 from the door wall still: 168 - 30 = 138 from the far one."""
    turned = replace(shape(WING), orientation=Orientation(Axis.LEFT_RIGHT, Side.RIGHT, Side.FAR))
    zoned = lay_out_zones(wish_for(WING), turned)
    assert inch(zoned.zones[1].rows) == [102, 138]
    assert inch(zoned.zones[0].columns) == [144, 208, 272, 336]


def test_rows_may_run_from_the_door_wall():
    turned = replace(shape(WING), orientation=Orientation(Axis.DOOR_FAR))
    base = replace(wish_for(WING), along=inches(168), across=inches(360))
    main, wing = lay_out_zones(base, turned).zones
    assert inch(main.columns) == [24, 84, 144]
    assert inch(wing.columns) == [24, 84]  # 84 is 12 in off the wing's far wall and on the room's line


def test_what_a_person_holds_goes_by_the_rooms_row_numbers():
    """Row 3 is the alcove's; its second light is moved and stays in it."""
    moved = Moved(Kind.LIGHT, 3, 2, inches(90), inches(190))
    wish = wish_for(ALCOVE, pins=(Pin(Line.ROW, 3, inches(192)),), moved=(moved,))
    zoned = lay_out_zones(wish, shape(ALCOVE))
    assert inch(zoned.zones[1].rows) == [192]
    assert (zoned.marks[-1].along, zoned.marks[-1].across) == (inches(90), inches(190))
    assert zoned.marks[-1].moved_from == (inches(88), inches(192))


def test_a_row_held_past_the_last_is_said():
    zoned = lay_out_zones(wish_for(ALCOVE, pins=(Pin(Line.ROW, 9, inches(20)),)), shape(ALCOVE))
    assert [finding.code for finding in zoned.findings] == [Code.NO_SUCH_MARK]


def test_a_row_runs_on_through_a_doorway():
    """Two rooms and a 36 in doorway, 5 in of wall deep, from 20 to 56: of the rows at 30 and 138 the first can be seen
    through it. The next room, 120 deep, holds it and adds one 30 off its far wall: 90 - 30 is 60, one gap."""
    both = outline_of(corners((0, 0), (240, 0), (240, 20), (245, 20), (245, 0), (425, 0), (425, 120), (245, 120),
                              (245, 56), (240, 56), (240, 168), (0, 168)))  # fmt: skip
    zoned = lay_out_zones(wish_for(both), shape(both))
    assert [inch(one.rows) for one in zoned.zones] == [[30, 138], [], [30, 90]]
    assert [one.zone.name for one in zoned.zones] == ["A", "B", "C"]
    assert not zoned.findings


def test_in_a_lay_in_grid_every_zones_lights_stand_in_tiles():
    """24 in tiles from the corner: middles at 12, 36, 60 ... in the room and in its wing alike."""
    tiles = [tiles_of(size, inches(24), ZERO, half_tiles=False, cut_tiles=False) for size in (WING.wide, WING.deep)]
    zoned = lay_out_zones(wish_for(WING, tiles_along=tiles[0], tiles_across=tiles[1]), shape(WING))
    assert len(zoned.zones[1].rows) and len(zoned.zones[1].columns)
    assert {at.inches % 24 for mark in zoned.marks for at in (mark.along, mark.across)} == {12}


# Regions


def test_a_tray_has_lights_about_its_own_center_and_the_rooms_rows_give_way():
    """120 by 72 in the middle of 240 by 168. Tray: 120 - 48 = 72 is over 66 and takes 2 gaps of 36; of its 72
    two rows would stand 72 - 60 = 12 apart, so it has one."""
    zoned = lay_out_zones(replace(WISH, rows=3), shape(PLAIN_ROOM, regions=(TRAY,)))
    tray = zoned.zones[1]
    assert not [mark for mark in zoned.marks if mark.zone == "A" and 60 <= mark.along.inches <= 180 and mark.row == 2]
    assert inch(tray.columns) == [84, 120, 156]  # the room's 88 and 152 are 4 in off: too far to be drawn on
    assert inch(tray.rows) == [84]


def test_one_light_per_coffer_is_its_center():
    coffers = tuple(Region(f"coffer {n}", box(x, 60, x + 48, 108), inches(6)) for n, x in enumerate((20, 96, 172), 1))
    zoned = lay_out_zones(WISH, shape(PLAIN_ROOM, regions=coffers))
    middles = [(float(m.along.inches), float(m.across.inches)) for m in zoned.marks if m.zone != "A"]
    assert middles == [(44, 84), (120, 84), (196, 84)]


def test_a_regions_lines_within_an_inch_of_the_rooms_are_drawn_onto_them():
    """The tray's middle is 121, the room's middle column 120: one line, not two an inch apart."""
    tray = Region("tray", box(97, 60, 145, 108), inches(6))
    zoned = lay_out_zones(replace(WISH, columns=3), shape(PLAIN_ROOM, regions=(tray,)))
    assert inch(zoned.zones[1].columns) == [120]
    far = Region("tray", box(98, 60, 146, 108), inches(6))
    assert inch(lay_out_zones(replace(WISH, columns=3), shape(PLAIN_ROOM, regions=(far,))).zones[1].columns) == [122]


def test_a_mark_on_a_regions_edge_is_said():
    """A soffit without lights whose edge is 31 in from the door wall: the row at 30 is cut through it."""
    soffit = Region("soffit", box(0, 0, 240, 31), inches(-8), laid_out=False)
    (found,) = lay_out_zones(WISH, shape(PLAIN_ROOM, regions=(soffit,))).findings
    assert found.code is Code.ON_REGION_EDGE
    assert say(found, PLAIN).startswith('A1 is 4" too close to the edge of the soffit')  # 3 + 2 - 1
    assert found.more == 3


def test_no_gap_is_counted_across_a_region_with_its_own_lights():
    zoned = lay_out_zones(replace(WISH, rows=3), shape(PLAIN_ROOM, regions=(TRAY,)))
    assert Code.GAP_OVER_LIMIT not in [finding.code for finding in zoned.findings]


def test_holes_of_two_zones_keep_material_between_them():
    """Typed at 42, which is in the coffer, and at 52, which is not: 10 - 6 leaves 4 of the 5 kept."""
    coffer = Region("coffer", box(20, 60, 48, 108), inches(6))
    typed = replace(WISH, mode_along=Mode.LOCKED, mode_across=Mode.LOCKED, typed_along=inches_of(42, 52),
                    typed_across=inches_of(84), web_min=inches(5))  # fmt: skip
    found = lay_out_zones(typed, shape(PLAIN_ROOM, regions=(coffer,))).findings
    webs = [finding for finding in found if finding.code is Code.HOLES_TOO_CLOSE]
    assert [(finding.subject, finding.short_by) for finding in webs] == [("B2, A1", inches(1))]


# Lines


def test_a_zone_no_longer_than_the_limit_takes_one_line():
    assert lines_needed(inches(60), inches(24), inches(60)) == 1
    assert lines_needed(inches(77), inches(24), inches(60)) == 1  # two would be 29 apart
    assert lines_needed(inches(78), inches(24), inches(60)) == 2
    assert lines_needed(inches(240), inches(24), inches(66)) == 4


def test_shared_lines_keep_a_holes_margin_from_the_zones_edges():
    assert shared([inches(4), inches(30), inches(98)], ZERO, inches(100), inches(7)) == (inches(30),)


def test_what_is_left_beside_shared_lines_is_filled_evenly():
    """From 24 to 150 is 126: three gaps of 42."""
    assert inch(filled([inches(150)], inches(170), inches(24), inches(60), Unit.INCH)) == [24, 66, 108, 150]


def test_a_pair_is_drawn_on_together_or_not_at_all():
    assert inch(drawn_onto([inches(20), inches(60)], [inches("20 1/2"), inches("60 1/2")])) == [20.5, 60.5]
    assert inch(drawn_onto([inches(20), inches(60)], [inches("20 1/2"), inches(70)])) == [20, 60]


def test_a_halls_row_is_held_through_the_doorway():
    """The hall's rows are at 40 and 110 along the wall both share; the doorway is from 24 to 60. The room's ceiling
    begins at 12; its rows would be at 30 and 100: its first is held at 28."""
    own = OwnRows(inches(12), inches(130), (inches(30), inches(100)), Unit.INCH)
    assert rows_through([inches(40), inches(110)], Opening(inches(24), inches(60)), own) == (
        Pin(Line.ROW, 1, inches(28)),
    )


def test_a_room_that_counts_against_the_wall_holds_the_same_line():
    """Its ceiling begins at 142 and counts back: the line at 40 is 102 from there."""
    own = OwnRows(inches(142), inches(130), (inches(30), inches(100)), Unit.INCH, backward=True)
    assert rows_through([inches(40)], Opening(inches(24), inches(60)), own) == (Pin(Line.ROW, 2, inches(102)),)


@settings(max_examples=80, deadline=None)
@given(st.sets(st.integers(1, 190), max_size=5), st.sets(st.integers(1, 190), min_size=1, max_size=5))
def test_rows_held_through_an_opening_keep_their_order(lines, rows):
    own = OwnRows(ZERO, inches(191), tuple(inches(row) for row in sorted(rows)), Unit.INCH)
    pins = rows_through([inches(line) for line in lines], Opening(ZERO, inches(191)), own)
    assert len(pins) == min(len(lines), len(rows))
    assert all(a.number < b.number and a.at < b.at for a, b in pairwise(pins))
    assert {pin.at for pin in pins} <= {inches(line) for line in lines}


# Any room


@st.composite
def rooms(draw):
    size = draw(st.integers(2, 4))
    cells = draw(st.sets(st.tuples(st.integers(0, size - 1), st.integers(0, size - 1)), min_size=2, max_size=9))
    part = st.integers(20, 120)
    xs = [0, *_sums(draw(st.lists(part, min_size=size, max_size=size)))]
    ys = [0, *_sums(draw(st.lists(part, min_size=size, max_size=size)))]
    ring = shapely.union_all([shapely.box(xs[i], ys[j], xs[i + 1], ys[j + 1]) for i, j in cells])
    assume(ring.geom_type == "Polygon" and not ring.interiors)
    low_x, low_y = ring.bounds[:2]
    points = ring.simplify(0).exterior.coords[:-1]
    try:
        return outline_of(corners(*((int(x - low_x), int(y - low_y)) for x, y in points)))
    except OutlineError:
        assume(False)


def _sums(parts):
    return [sum(parts[: n + 1]) for n in range(len(parts))]


@settings(max_examples=60, deadline=None)
@given(rooms(), st.sampled_from([Mode.WALL_HELD, Mode.HALF_GAP, Mode.EVEN]), st.sampled_from(list(Axis)))
def test_no_hole_is_outside_any_room_without_being_named(room, mode, runs):
    """shapely draws every hole; what isn't inside the ceiling by the edge kept is among the findings."""
    turn = Orientation(runs, Side.RIGHT, Side.DOOR)
    along, across = (room.wide, room.deep) if runs is Axis.LEFT_RIGHT else (room.deep, room.wide)
    base = replace(WISH, along=along.exact(), across=across.exact(), mode_along=mode, mode_across=mode)
    zoned = lay_out_zones(base, Shape(room, room.wide, room.deep, turn, HOLES))
    ring = shapely.Polygon([(float(c.x.inches), float(c.y.inches)) for c in room.corners])
    bad = 0
    for mark in zoned.marks:
        x, y = turn.plan_xy(mark.along, mark.across, room.wide, room.deep)
        at = shapely.Point(float(x.inches), float(y.inches))
        assert ring.covers(at)
        bad += ring.exterior.distance(at) < 7 - 1e-9
    said = [finding for finding in zoned.findings if finding.code is Code.TOO_CLOSE_TO_EDGE]
    assert bad == sum(1 + finding.more for finding in said)
    ids = [mark.id for mark in zoned.marks]
    assert len(set(ids)) == len(ids)


@settings(max_examples=40, deadline=None)
@given(rooms(), st.booleans())
def test_a_mirrored_room_pulled_from_the_mirrored_corner_has_the_same_numbers(room, along):
    """The same marks, IDs and all, from a zero corner that is mirrored with the room."""
    wide, deep = room.wide, room.deep
    image = outline_of([Corner(wide - c.x, c.y) if along else Corner(c.x, deep - c.y) for c in room.corners])
    zero = (Side.RIGHT, Side.DOOR) if along else (Side.LEFT, Side.FAR)
    one = lay_out_zones(wish_for(room), shape(room))
    other = lay_out_zones(wish_for(room), replace(shape(image), orientation=Orientation(Axis.LEFT_RIGHT, *zero)))
    sizes = [{replace(each.zone, name="", box=None) for each in done.zones} for done in (one, other)]
    assume(sizes[0] == sizes[1])  # of two ways to cut that are equally good, either may be taken
    assert one.marks == other.marks


@settings(max_examples=40, deadline=None)
@given(rooms())
def test_each_zones_own_lines_mirror_about_its_middle(room):
    """To a sixteenth, unless they are a neighbor's."""
    zoned = lay_out_zones(wish_for(room), shape(room))
    for one in zoned.zones:
        if one.arrangement and one.arrangement.wish.mode_along is not Mode.LOCKED:
            columns, size = one.arrangement.columns, one.zone.size_along
            assert all(a + b == size for a, b in zip(columns, reversed(columns), strict=True))


ANYWHERE = st.tuples(st.integers(0, 300), st.integers(0, 300))


@settings(max_examples=50, deadline=None)
@given(
    st.lists(ANYWHERE, min_size=3, max_size=7), st.lists(st.lists(ANYWHERE, min_size=3, max_size=5), max_size=2),
    st.integers(1, 5), st.one_of(st.none(), st.integers(1, 6)), st.sampled_from([Mode.WALL_HELD, Mode.EVEN]),
)  # fmt: skip
def test_skewed_rooms_and_regions_of_any_shape_are_laid_out_and_told_truly(points, trays, rows, columns, mode):
    """Every mark of the main ceiling is inside; what is nearer a region's edge than 2 in is named, and nothing else."""
    try:
        room = outline_of(corners(*points))
        rings = [outline_of(corners(*tray)).corners for tray in trays]
        regions = tuple(Region(f"tray {n}", ring, inches(6)) for n, ring in enumerate(rings))
        whole = replace(
            WISH, along=inches(300), across=inches(300), rows=rows, columns=columns, mode_along=mode, mode_across=mode
        )
        zoned = lay_out_zones(whole, Shape(room, inches(300), inches(300), FACING_FAR, HOLES, regions))
    except OutlineError:
        assume(False)
    except WishError as error:
        assert "no upright rectangle" in str(error) or "overlap" in str(error)
        return
    ring = shapely.Polygon(points).buffer(1e-6)
    edges = [shapely.Polygon(tray).exterior for tray in trays]
    near = 0
    for mark in zoned.marks:
        at = shapely.Point(float(mark.along.inches), float(mark.across.inches))
        title = next(one.zone.title for one in zoned.zones if one.zone.name == mark.zone)
        assert title or ring.covers(at)
        near += sum(edge.distance(at) < 5 - 1e-6 for edge in edges)
    assert near == sum(1 + finding.more for finding in zoned.findings if finding.code is Code.ON_REGION_EDGE)
    used = sorted({mark.row for mark in zoned.marks})
    assert len({mark.id for mark in zoned.marks}) == len(zoned.marks)
    assert not used or used[-1] <= sum(len(one.rows) for one in zoned.zones)


def test_millimeters_too():
    points = ((0, 0), (9000, 0), (9000, 2400), (6000, 2400), (6000, 4200), (0, 4200))
    room = outline_of([Corner(mm(x), mm(y)) for x, y in points])
    base = replace(
        WISH, along=mm(9000), across=mm(4200), unit=Unit.MM, end_setback=mm(600), row_setback=mm(750),
        spacing_limit=mm(1600), edge_min=mm(100), web_min=mm(40),
    )  # fmt: skip
    zoned = lay_out_zones(base, shape(room))
    assert [int(row.mm) for row in zoned.zones[1].rows] == [750, 1650]
