"""The page of a room's light: figures against what is wanted, at any level, and what it would take where they lack."""

import re
from dataclasses import replace

import pytest
from django.urls import reverse

from layout.engine.lengths import Style, Tape
from layout.engine.light.measures import Measures, Strip
from layout.engine.light.values import Dims
from layout.light import words
from layout.light.drawn import pictures_of
from layout.light.models import LightSetup
from layout.light.pictures import Told
from layout.light.queries import light_of
from layout.light.services import setup_of
from projects.platform.permissions import Role
from tests.factories import LightAimFactory, LightSetupFactory, LightTaskFactory, LightZoneFactory, ShopFactory
from tests.layout.lit import lit_room
from tests.shops import fresh, on_page, people_of, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    return lit_room()


@pytest.fixture
def lead(client, room):
    return sign_in(client, people_of(room.shop)[Role.CREW_LEAD])


def page_of(client, room, **asked):
    return client.get(reverse("light", args=[room.pk]), asked)


def figures(response):
    """Each row's name, and its footcandles and lux."""
    rows = re.findall(
        r'<th scope="row">([^<]*)</th><td class="num">([\d.]+)</td><td class="num">([\d.]+)</td>',
        response.content.decode(),
    )
    return {name: (float(fc), float(lux)) for name, fc, lux in rows}


def test_the_page_gives_plane_walls_floor_and_ceiling_in_footcandles_and_lux(lead, room):
    told = figures(page_of(lead, room))
    assert {"Work plane, average", "least on it", "most on it", "Walls, average", "Floor, average"} <= set(told)
    fc, lux = told["Work plane, average"]
    assert lux == pytest.approx(10.764 * fc, abs=0.5 * 10.764 + 0.5)  # lux in a footcandle: 1 / 0.3048 squared; whole
    assert told["least on it"][1] < lux < told["most on it"][1]


def test_the_plane_gets_about_what_its_lumens_over_its_area_allow(lead, room):
    """6 lights of 800 lm on 162 x 89 in (9.302 m2): 516 lx if every lumen arrived once. Walls take some, and surfaces
    give some back: between half and all of that is what any such room gets."""
    assert 258 < figures(page_of(lead, room))["Work plane, average"][1] < 516


def test_the_first_thing_said_is_whether_the_walls_go_dark_in_the_numbers_of_table_and_picture(lead, room):
    page = page_of(lead, room).content.decode()
    [answer] = re.findall(r'<p class="lede">([^<]*)', page)
    fc, lux = (f"{one:g}" for one in figures(page_of(lead, room))["Work plane, average"])
    assert f"{fc} fc ({lux} lx) on the work plane" in answer
    assert re.search(rf"<figcaption>Light on the work plane[^<]*verage {fc} fc \({lux} lx\)", page)
    assert page.index(answer) < page.index("<figure") < page.index("What one will see") < page.index("Computed")


@pytest.mark.parametrize(("beam", "words"), [(20, "The walls go dark"), (90, "The walls don&#x27;t go dark")])
def test_dark_walls_are_called_dark_under_a_quarter_of_the_plane(client, beam, words):
    """Common practice, no source."""
    room = lit_room(beam_deg=beam)
    page = page_of(sign_in(client, people_of(room.shop)[Role.CREW_LEAD]), room).content.decode()
    ratio = float(re.search(r'Walls over plane</th><td class="num"[^>]*>([\d.]+)', page)[1])
    assert (ratio < 0.25) == (beam == 20)
    assert words in page


def test_a_ratio_that_would_read_as_the_limit_is_told_to_three_places():
    found = replace(measures_of(3.2), walls_avg_lx=83.0, plane_avg_lx=334.0, wall_over_plane=83 / 334)
    said = words.answer(found, (), Told(Tape(Style.INCHES, 16)))
    assert "0.249 of it. Dark is under 0.25" in said


def measures_of(strip_lx):
    """Only what the answer reads."""
    strip = Strip(number=0, wall="sink wall", from_m=0.0, to_m=0.3, low_m=2.0, high_m=2.5, lx=strip_lx)
    return Measures(**dict.fromkeys(Measures.__slots__) | {"worst_strip": strip})


def test_a_metric_shop_reads_lux_alone(lead, room):
    room.shop.style = "mm"
    room.shop.save()
    page = page_of(lead, room).content.decode()
    assert ">lux</th>" in page and ">fc</th>" not in page
    assert " lx on them" in page and not re.search(r"\d fc\b", page)


def test_the_same_light_is_drawn_once_and_another_level_anew(lead, room):
    told = Told(Tape(Style.INCHES, 16))
    made = (light := light_of(fresh(room))).made
    first = pictures_of(made, light.solved, None, told)
    assert pictures_of(made, light.solved, None, told) is first
    assert pictures_of(made, light.solved, Dims(zones={"A": 0.5}), told)[0].svg != first[0].svg
    assert pictures_of(made, light.solved, None, Told(Tape(Style.MM, 1)))[0].svg != first[0].svg


def test_light_far_over_what_is_asked_is_called_so(lead, room):
    LightSetupFactory(room=room, target="5", target_unit="fc")
    assert re.search(r">met, \d+\.\d times that<", page_of(lead, room).content.decode())


def test_half_the_level_is_half_the_light_and_nothing_is_kept(lead, room):
    full, half = (figures(page_of(lead, room, **asked)) for asked in ({}, {"dim-A": "50"}))
    assert half["Work plane, average"][1] == pytest.approx(full["Work plane, average"][1] / 2, abs=1)
    assert not LightSetup.objects.of(room.shop).exists()


def test_levels_that_are_only_tried_are_named_first_and_wrong_ones_are_not_said_to_be_shown(lead, room):
    tried = page_of(lead, room, **{"dim-A": "50"}).content.decode()
    assert "Shown at A 50 %. Nothing is kept" in tried and tried.index("Shown at") < tried.index("<figure")
    wrong = page_of(lead, room, **{"dim-A": "500"}).content.decode()
    assert "A level is off its scale" in wrong and "Shown at" not in wrong
    assert "Too much. Enter 100 or less." in wrong


def test_a_room_of_dark_walls_is_darker_and_the_page_says_so(lead, room):
    bright = figures(page_of(lead, room))
    LightSetupFactory(room=room, wall_percent=5, ceiling_percent=20)
    response = page_of(lead, room)
    dark = figures(response)
    assert dark["Work plane, average"][1] < bright["Work plane, average"][1]
    assert dark["Ceiling, average"][1] < bright["Ceiling, average"][1]


def test_what_is_wanted_is_held_against_what_is_computed(lead, room):
    LightSetupFactory(room=room, target="500", target_unit="fc", wall_ratio="0.01")
    page = page_of(lead, room).content.decode()
    assert "short by" in page and ">met<" in page and "As typed for this room." in page


def test_a_target_of_the_table_shows_its_document_and_edition(lead, room):
    from projects.catalogue.tables import light_targets

    row = next(row for row in light_targets().values() if row.kind == "standard")
    LightSetupFactory(room=room, target_key=row.key)
    page = page_of(lead, room).content.decode()
    assert row.document in page and row.edition in page and "a standard" in page


def test_a_light_with_no_file_is_marked_as_a_lobe_and_the_limits_are_told(lead, room):
    page = page_of(lead, room).content.decode()
    assert "stands for it" in page and "Every surface is taken as matte" in page
    assert "The lumen method says" in page and "arrive at the room" in page


def test_the_page_draws_the_plan_the_walls_and_the_view_each_with_a_table(lead, room):
    page = page_of(lead, room).content.decode()
    assert page.count("<svg") >= 6 and page.count("as a table</summary>") == page.count("<figure")


def test_a_room_that_lacks_something_says_what_it_takes_and_where(client):
    room = lit_room(height=None, lumens=None)
    lead = sign_in(client, people_of(room.shop)[Role.CREW_LEAD])
    page = page_of(lead, room).content.decode()
    assert "The height was not taped." in page and reverse("measurements", args=[room.pk]) in page
    assert "has no lumens and no photometric file" in page
    assert "<figure" not in page


def test_counters_boards_and_faces_have_figures_of_their_own(lead, room):
    setup = LightSetupFactory(room=room)
    LightTaskFactory(setup=setup, name="Counter", wide=40 * 25_400_000, deep=20 * 25_400_000)
    LightTaskFactory(setup=setup, name="Reader", kind="face", from_left=2 * 10**9, from_door=10**9, wide=None,
                     deep=None, height=12 * 10**8)  # fmt: skip
    told = figures(page_of(lead, room))
    assert {"Counter, average", "Reader"} <= set(told)


def test_an_aim_whose_light_is_gone_is_told(lead, room):
    LightAimFactory(setup=LightSetupFactory(room=room), row=8, number=2)
    assert "Light 2 of row 8 was aimed" in page_of(lead, room).content.decode()


def test_the_page_takes_as_many_queries_for_many_rows_as_for_few(lead, room, django_assert_max_num_queries):
    setup = LightSetupFactory(room=room)
    page_of(lead, room)
    with django_assert_max_num_queries(60) as few:
        page_of(lead, room)
    for n in range(3):
        LightTaskFactory(setup=setup, wide=30 * 25_400_000, deep=20 * 25_400_000)
        LightAimFactory(setup=setup, row=1, number=n + 1)
        LightZoneFactory(setup=setup, letter="QRS"[n])
    with django_assert_max_num_queries(len(few)):
        page_of(lead, room)


# What is set


def settings(client, room, **typed):
    address = reverse("light_settings", args=[room.pk])
    return client.post(address, {**on_page(client.get(address), "wall_percent"), **typed})


def test_settings_are_kept_and_the_next_look_shows_them(lead, room):
    assert settings(lead, room, wall_percent="30", lld="0.9", **{"zone-A-dim_percent": "60"}).status_code == 302
    setup = setup_of(fresh(room))
    assert (setup.wall_percent, str(setup.lld)) == (30, "0.900")
    assert [(zone.letter, zone.dim_percent) for zone in setup.rows("zones")] == [("A", 60)]


@pytest.mark.parametrize(
    ("box", "typed"),
    [("wall_percent", "96"), ("floor_percent", "-1"), ("lld", "0"), ("plane", "0"), ("as_read", "9"), ("target", "-3"),
     ("uniformity", "1.2"), ("zone-A-dim_percent", "101"), ("ceiling_percent", "white")],
)  # fmt: skip
def test_an_absurd_number_is_refused_at_its_box_and_nothing_is_lost(lead, room, box, typed):
    answer = settings(lead, room, note="Keep this.", **{box: typed})
    page = answer.content.decode()
    assert answer.status_code == 422 and "Keep this." in page and f'value="{typed}"' in page
    assert not LightSetup.objects.of(room.shop).exists()


def test_a_number_past_its_limit_is_told_with_the_limit(lead, room):
    page = settings(lead, room, wall_percent="96", lld="0").content.decode()
    assert "Too much. Enter 95 or less." in page and "Too little. Enter 0.1 or more." in page


def test_a_stale_save_is_refused_and_what_was_typed_is_still_there(lead, room):
    setup = LightSetupFactory(room=room)
    address = reverse("light_settings", args=[room.pk])
    typed = on_page(lead.get(address), "wall_percent") | {"wall_percent": "31"}
    LightSetup.objects.of(room.shop).filter(pk=setup.pk).update(version=7)
    answer = lead.post(address, typed)
    assert answer.status_code == 409 and 'value="31"' in answer.content.decode()
    assert setup_of(fresh(room)).wall_percent == 50


def test_aims_are_set_by_light_and_one_left_straight_down_is_none(lead, room):
    address = reverse("light_aims", args=[room.pk])
    typed = on_page(lead.get(address), "aim-1-1-tilt_deg") | {"aim-1-2-tilt_deg": "25", "aim-1-2-toward_deg": "90"}
    assert lead.post(address, typed).status_code == 302
    assert [(a.row, a.number, float(a.tilt_deg)) for a in setup_of(fresh(room)).rows("aims")] == [(1, 2, 25.0)]
    assert lead.post(address, typed | {"version": "2", "aim-1-2-tilt_deg": "91"}).status_code == 422


def test_a_task_is_added_changed_and_taken_out(lead, room):
    address = reverse("light_tasks", args=[room.pk])
    new = {"task-new-name": "Desk", "task-new-kind": "flat", "task-new-height": "30", "task-new-from_left": "10",
           "task-new-from_door": "10", "task-new-wide": "48", "task-new-deep": "24"}  # fmt: skip
    assert lead.post(address, on_page(lead.get(address), "task-new-name") | new).status_code == 302
    assert [task.name for task in setup_of(fresh(room)).rows("tasks")] == ["Desk"]
    typed = on_page(lead.get(address), "task-0-name")
    assert lead.post(address, typed | {"task-0-wide": ""}).status_code == 422
    assert lead.post(address, typed | {"task-0-remove": "on"}).status_code == 302
    assert setup_of(fresh(room)).rows("tasks") == ()


def test_a_viewer_reads_it_and_keeps_nothing(client, room):
    viewer = sign_in(client, people_of(room.shop)[Role.VIEWER])
    assert page_of(viewer, room).status_code == 200
    for name in ("light_settings", "light_aims", "light_tasks"):
        address = reverse(name, args=[room.pk])
        assert "Keep</button>" not in viewer.get(address).content.decode()
        assert viewer.post(address, {"version": "1"}).status_code == 403


def test_another_shops_room_is_not_there(client, room):
    stranger = sign_in(client, people_of(ShopFactory())[Role.OWNER])
    for name in ("light", "light_settings", "light_aims", "light_tasks", "light_readings"):
        assert stranger.get(reverse(name, args=[room.pk])).status_code == 404
