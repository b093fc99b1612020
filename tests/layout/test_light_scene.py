"""What light is computed in: the finished room of the records, its lights where they hang, or what that would take."""

from decimal import Decimal

import pytest

from layout.engine.lengths import inches
from layout.engine.light.values import Known
from layout.engine.room import lay_out
from layout.engine.shape import on_plan
from layout.engine.switching import Switched
from layout.inputs import inputs_of
from layout.light.scene import NoLight, scene_of
from layout.light.services import change_setup, setup_of
from layout.models import Draft
from layout.services import draft_of
from layout.switching.services import set_switches
from projects.jobs.models import FixtureCount
from projects.jobs.services import change_room, copy_room
from tests.factories import (
    FixtureTypeFactory,
    JobFactory,
    LightAimFactory,
    LightSetupFactory,
    LightTaskFactory,
    LightZoneFactory,
    OutlineCornerFactory,
    RegionCornerFactory,
    RegionFactory,
)
from tests.layout.lit import lit_room
from tests.shops import build_room, draft_room, fresh, tape_room

pytestmark = pytest.mark.django_db
INCH = 0.0254


def made(room):
    draft = draft_of(room)
    return scene_of(room, lay_out(inputs_of(room, draft)), setup_of(room), draft)


def missing(room):
    with pytest.raises(NoLight) as refused:
        made(room)
    return {(one.words, one.route) for one in refused.value.missing}


def test_light_fills_the_room_to_its_finished_walls_past_a_floating_ceilings_edge():
    """166 in of framing less 2 in of furring at each wall is 162; 93 less 4 is 89."""
    scene = made(lit_room()).scene
    xs, ys = zip(*scene.room.corners, strict=True)
    assert max(xs) - min(xs) == pytest.approx(162 * INCH)
    assert max(ys) - min(ys) == pytest.approx(89 * INCH)
    assert (min(xs), min(ys)) == (0, 0)


def test_walls_run_counterclockwise_from_the_door_wall_and_have_the_crews_names():
    room = lit_room()
    room.left_wall = "window wall"
    scene = made(room).scene
    assert on_plan.area(scene.room.corners) == pytest.approx(162 * 89 * INCH * INCH)
    assert scene.room.wall_names == ("door wall", "right wall", "far wall", "window wall")


def test_each_light_hangs_at_its_mark_under_the_finished_ceiling():
    """The first light: 12 in from the ceiling's end, 18 in across. The measured cloud is 1/2 in wider than 166 less
    8 in each side leaves, split between both gaps: each is 5 3/4 in. Across 77 1/4 over 77: 5 7/8 in."""
    scene = made(lit_room()).scene
    first = scene.lights[0]
    assert (first.id, first.zone) == ("A1", "A")
    assert (first.x, first.y) == (pytest.approx((12 + 5.75) * INCH), pytest.approx((18 + 5.875) * INCH))
    assert [light.z for light in scene.lights] == pytest.approx([96 * INCH] * 6)


def test_a_type_with_no_file_shines_as_a_lobe_of_its_lumens_and_is_marked_so():
    found = made(lit_room())
    assert found.scene.lights[0].emitter.known is Known.LOBE
    assert found.scene.lights[0].emitter.flux_lm == pytest.approx(800)
    assert len(found.lobes) == 1
    assert found.scene.lights[0].emitter.opening.largest == pytest.approx(4 * INCH)


def test_what_is_not_known_is_told_all_at_once_with_where_it_is_entered():
    told = missing(lit_room(height=None, lumens=None, beam_deg=None))
    assert {route for _words, route in told} == {"measurements", "fixture_type"}
    assert len(told) == 3


def test_a_room_with_no_light_laid_out_says_so():
    room = lit_room()
    Draft.objects.of(room.shop).filter(room=room).update(rows_of="speaker")
    assert missing(fresh(room)) == {("No light is laid out here.", "room")}


def test_losses_multiply_and_the_shops_own_correction_only_where_it_was_chosen():
    """0.9 x 0.95 x 1 x 1 x 0.98 = 0.8379."""
    room = lit_room()
    setup = LightSetupFactory(room=room, lld="0.9", ldd="0.95", other_loss="0.98")
    assert made(fresh(room)).scene.lights[0].factor == pytest.approx(0.8379)
    change_setup(setup, setup.version, {"as_read": Decimal("0.5")})
    assert made(fresh(room)).scene.lights[0].factor == pytest.approx(0.41895)


def test_a_wall_of_its_own_color_differs_and_the_others_keep_the_rooms():
    room = lit_room()
    LightSetupFactory(room=room, wall_percent=60, far_percent=10)
    shape = made(fresh(room)).scene.room
    assert [shape.reflectance_of(n) for n in range(4)] == [0.6, 0.6, 0.1, 0.6]


def test_a_zone_has_its_own_level_and_its_own_light():
    room = lit_room()
    draft = draft_of(room)
    set_switches(draft, draft.version, [Switched(1, 2, "B")])
    spot = FixtureTypeFactory(shop=room.shop, lumens=400, beam_deg=25)
    setup = LightSetupFactory(room=room)
    LightZoneFactory(setup=setup, letter="B", dim_percent=30, light_type=spot)
    lights = {light.id: light for light in made(fresh(room)).scene.lights}
    assert (lights["B1"].dim, lights["B1"].emitter.flux_lm) == (0.3, pytest.approx(400))
    assert (lights["A1"].dim, lights["A1"].emitter.flux_lm) == (1.0, pytest.approx(800))


def test_a_zone_counted_with_another_type_shines_as_that_type():
    room = lit_room()
    other = FixtureTypeFactory(shop=room.shop, lumens=1200, beam_deg=90)
    FixtureCount.objects.create(room=room, fixture_type=other, zone="A")
    assert made(fresh(room)).scene.lights[0].emitter.flux_lm == pytest.approx(1200)


def test_an_aim_points_its_light_and_one_whose_light_is_gone_is_kept_and_told():
    room = lit_room()
    setup = LightSetupFactory(room=room)
    LightAimFactory(setup=setup, row=2, number=1, tilt_deg=30, toward_deg=90)
    LightAimFactory(setup=setup, row=9, number=1)
    found = made(fresh(room))
    aimed = [light.id for light in found.scene.lights if light.tilt_deg == 30 and light.toward_deg == 90]
    assert aimed == ["A4"]
    assert [(aim.row, aim.number) for aim in found.gone] == [(9, 1)]


@pytest.mark.parametrize(("rise", "height"), [("-10", 86), ("10", 106)])
def test_a_light_in_a_soffit_or_a_tray_hangs_at_its_own_height_and_the_page_says_what_that_leaves_out(rise, height):
    room = lit_room()
    rises = (inches(rise.lstrip("-")) * (-1 if rise.startswith("-") else 1)).exact()
    region = RegionFactory(ceiling__room=room, rise=rises, laid_out=False)
    for x, y in [(0, 0), (60, 0), (60, 77), (0, 77)]:
        RegionCornerFactory(region=region, x=inches(x), y=inches(y))
    found = made(fresh(room))
    heights = {light.id: round(light.z / INCH) for light in found.scene.lights}
    assert (heights["A1"], heights["A3"]) == (height, 96)
    assert len(found.notes) == 1


def test_a_task_is_placed_where_it_was_said_and_one_that_fits_nowhere_is_told():
    room = lit_room()
    setup = LightSetupFactory(room=room)
    LightTaskFactory(setup=setup, name="Desk", wide=inches(40), deep=inches(20))
    LightTaskFactory(setup=setup, name="Board", kind="board", wall="far", along=inches(10), wide=inches(50),
                     deep=inches(30), from_left=None, from_door=None)  # fmt: skip
    LightTaskFactory(setup=setup, name="Long", kind="board", wall="far", along=inches(140), wide=inches(50),
                     deep=inches(30), from_left=None, from_door=None)  # fmt: skip
    LightTaskFactory(setup=setup, name="Reader", kind="face", wide=None, deep=None, facing_deg=90)
    found = made(fresh(room))
    desk, board = found.scene.tasks
    assert desk.along == (pytest.approx(40 * INCH), 0, 0) and desk.up == (0, pytest.approx(20 * INCH), 0)
    # Facing the far wall, left is left: 10 in from the left wall, running right.
    assert board.corner == pytest.approx((10 * INCH, 89 * INCH, 36 * INCH))
    assert board.along == pytest.approx((50 * INCH, 0, 0))
    assert [face.name for face in found.faces] == ["Reader"]
    assert found.unplaced == ("Long",)


def test_the_same_records_give_the_same_digest_and_another_level_another_one():
    room = lit_room()
    setup = LightSetupFactory(room=room)
    first = made(fresh(room)).digest
    assert made(fresh(room)).digest == first
    LightZoneFactory(setup=setup, letter="A", dim_percent=99)
    assert made(fresh(room)).digest != first


def test_an_l_shaped_room_has_six_walls_each_moved_out_to_its_own_finished_face():
    """An L of 120 x 100 in, the far right 60 x 50 in left out, floating 6 in off every wall."""
    room = build_room(JobFactory(), furring="", gap="6", framing=None, finished=("120", "100"))
    draft_room(room, light_type=FixtureTypeFactory(shop=room.shop, lumens=800, beam_deg=60), speaker_type=None,
               speaker_gaps="")  # fmt: skip
    tape_room(room, "finished", "120", "100", height="96")
    corners = [(0, 0), (120, 0), (120, 50), (60, 50), (60, 100), (0, 100)]
    ceiling = OutlineCornerFactory(ceiling__room=room, x=inches(0), y=inches(0)).ceiling
    for x, y in corners[1:]:
        OutlineCornerFactory(ceiling=ceiling, x=inches(x), y=inches(y))
    scene = made(fresh(room)).scene
    expected = [(0, 0), (132, 0), (132, 62), (72, 62), (72, 112), (0, 112)]
    assert [pytest.approx((x * INCH, y * INCH)) for x, y in expected] == list(scene.room.corners)
    assert len(set(scene.room.wall_names)) == 6


def test_a_copied_room_keeps_its_setup():
    room = lit_room()
    setup = LightSetupFactory(room=room, wall_percent=33)
    LightZoneFactory(setup=setup, letter="A", dim_percent=70)
    LightAimFactory(setup=setup, row=1, number=2)
    LightTaskFactory(setup=setup, name="Desk")
    twin = setup_of(fresh(copy_room(fresh(room), 1)[0]))
    assert twin.pk != setup.pk and twin.wall_percent == 33
    assert [zone.dim_percent for zone in twin.rows("zones")] == [70]
    assert [task.name for task in twin.rows("tasks")] == ["Desk"]
    assert setup_of(fresh(room)).rows("aims")


def test_an_aim_stays_with_its_light_when_the_zero_corner_turns():
    """Two rows of three: the light nearest the door-left corner is the last one counted from the far-right corner."""
    room = lit_room()
    LightAimFactory(setup=LightSetupFactory(room=room), row=1, number=1, tilt_deg=20)
    at = next((light.x, light.y) for light in made(fresh(room)).scene.lights if light.tilt_deg)
    stored = fresh(room)
    change_room(stored, stored.version, {"zero_x": "right", "zero_y": "far"})
    [aim] = setup_of(fresh(room)).rows("aims")
    assert (aim.row, aim.number) == (2, 3)
    turned = next((light.x, light.y) for light in made(fresh(room)).scene.lights if light.tilt_deg)
    assert at == pytest.approx(turned, abs=0.002)
