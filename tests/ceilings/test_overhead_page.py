"""The crew enters what stands overhead: the framing from one joist, then each thing in the way."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from layout.engine.lengths import inches
from layout.engine.overhead.values import ClearTo
from layout.engine.room import lay_out
from layout.inputs import inputs_of
from layout.services import draft_of
from projects.ceilings.models import Ceiling
from projects.ceilings.services import TooMany, ceiling_of, change_ceiling
from projects.ceilings.values import Entered, entered
from projects.platform.permissions import Role
from tests.factories import CeilingFactory, JoistRunFactory, MemberFactory, ShopFactory, ThingFactory
from tests.shops import fresh, on_page, practice_room, sign_in

pytestmark = pytest.mark.django_db
SIXTEEN = str(int(inches(16)))


@pytest.fixture
def room():
    return practice_room(ShopFactory())


@pytest.fixture
def lead(client, room):
    return sign_in(client, MemberFactory(shop=room.shop, role=Role.CREW_LEAD.value))


def page_of(room):
    return reverse("overhead", args=[room.pk])


def save(client, room, **typed):
    boxes = on_page(client.get(page_of(room)), "framing" if "framing" not in typed else "version")
    return client.post(page_of(room), boxes | typed)


def boxes_of(client, room):
    return on_page(client.get(page_of(room)), "joist1-first")


def enter(client, room, **typed):
    return client.post(page_of(room), boxes_of(client, room) | typed)


def overhead(room):
    found = fresh(room)
    return inputs_of(found, draft_of(found)).overhead


def test_a_room_nobody_looked_at_says_what_to_do_first(lead, room):
    page = lead.get(page_of(room)).content.decode()
    assert "Start with one joist" in page and "<svg" in page


def test_one_joist_and_a_spacing_are_the_framing(lead, room):
    """Read 11 in from the left wall's framing to the middle of the first joist; they stand 16 in apart."""
    answer = enter(lead, room, **{"joist1-first": "11", "joist1-usual": SIXTEEN})
    assert answer.status_code == 302
    found = overhead(room)
    (run,) = found.joists
    assert (run.runs, run.first_from, run.first, run.spacing) == ("door_far", "left", inches(11), inches(16))
    assert run.clear == inches("1/2")
    assert found.looked


def test_nineteen_and_a_fifth_inches_is_kept_exactly(lead, room):
    """19.2 in: 8 ft shared by five."""
    enter(lead, room, **{"joist1-first": "11", "joist1-usual": "", "joist1-spacing": "19.2 in"})
    assert overhead(room).joists[0].spacing * 5 == inches(96)


def test_a_joist_read_at_its_near_face_has_its_center_half_its_width_further(lead, room):
    enter(lead, room, **{"joist1-first": "10 1/4", "joist1-first_to": "near", "joist1-usual": SIXTEEN})
    assert overhead(room).joists[0].first == inches(11)


def test_joists_found_from_the_door_wall_run_along_it(lead, room):
    enter(lead, room, **{"joist1-first": "11", "joist1-first_from": "door", "joist1-usual": SIXTEEN})
    assert overhead(room).joists[0].runs == "left_right"


def test_no_framing_is_an_answer_too(lead, room):
    assert enter(lead, room, framing="none").status_code == 302
    assert overhead(room).looked and not overhead(room).joists


def test_found_framing_needs_a_joist(lead, room):
    answer = enter(lead, room, framing="found")
    assert answer.status_code == 422
    assert "Enter where the first joist is" in answer.content.decode()


def test_a_joist_without_its_spacing_is_asked_for_it(lead, room):
    answer = enter(lead, room, **{"joist1-first": "11"})
    assert answer.status_code == 422
    assert "How far from joist to joist?" in answer.content.decode()


def test_a_joist_as_wide_as_its_spacing_leaves_no_bay(lead, room):
    answer = enter(lead, room, **{"joist1-first": "11", "joist1-spacing": "6", "joist1-width": "6"})
    assert "leave no bay" in answer.content.decode()


def test_a_doubled_joist_stands_beside_the_run(lead, room):
    enter(
        lead,
        room,
        **{
            "joist1-first": "11", "joist1-usual": SIXTEEN, "member1-name": "doubled joist", "member1-at": "59",
            "member1-width": "3",
        },
    )  # fmt: skip
    (odd,) = overhead(room).members
    assert (odd.name, odd.at, odd.width, odd.runs) == ("doubled joist", inches(59), inches(3), "door_far")


def test_a_run_is_taken_away_with_its_tick(lead, room):
    enter(lead, room, **{"joist1-first": "11", "joist1-usual": SIXTEEN})
    enter(lead, room, **{"joist1-drop": "on", "framing": "none"})
    assert not overhead(room).joists


def test_the_card_and_the_room_say_framing_not_checked_until_somebody_looked(lead, room):
    words = "Framing not checked"
    where = reverse("room", args=[room.pk])
    assert words in lead.get(where).content.decode()
    enter(lead, room, framing="none")
    assert words not in lead.get(where).content.decode()


def test_depth_is_the_joists_and_the_ceilings_layers(lead, room):
    """Joists 9 1/4 in deep over a channel of 7/8 in leave 10 1/8 in above its face, of which 1/2 in stays free."""
    room.layers.create(surface="ceiling", position=1, name="channel", thickness=inches("7/8"))
    enter(lead, room, **{"joist1-first": "11", "joist1-usual": SIXTEEN, "joist1-depth": "9 1/4", "keep_free": "1/2"})
    cavity = overhead(room).cavity
    assert (cavity.depth, cavity.keep) == (inches("10 1/8"), inches("1/2"))
    assert "channel" in cavity.what


def test_a_grid_has_two_sizes(lead, room):
    assert enter(lead, room, grid_pitch_x="24").status_code == 422
    enter(lead, room, grid_pitch_x="24", grid_pitch_y="48", grid_line_x="9")
    found = fresh(room)
    grid = inputs_of(found, draft_of(found)).grid
    assert (grid.pitch_x, grid.pitch_y, grid.line_x, grid.line_y) == (inches(24), inches(48), inches(9), None)


def test_a_slope_is_a_rise_for_a_run(lead, room):
    assert enter(lead, room, slope_along="door_far", slope_rise="4").status_code == 422
    enter(lead, room, slope_along="door_far", slope_rise="4", slope_run="12")
    found = fresh(room)
    slope = inputs_of(found, draft_of(found)).slope
    assert (slope.along, slope.rise, slope.run) == ("door_far", inches(4), inches(12))


def test_of_two_who_save_the_second_sees_both(lead, room):
    opened = boxes_of(lead, room)
    enter(lead, room, **{"joist1-first": "11", "joist1-usual": SIXTEEN})
    answer = lead.post(page_of(room), opened | {"joist1-first": "12", "joist1-usual": SIXTEEN})
    assert answer.status_code == 409
    page = answer.content.decode()
    assert "12" in page and "11&quot;" in page
    assert overhead(room).joists[0].first == inches(11)


def test_the_last_save_is_put_back_with_one_press_and_again_with_another(lead, room):
    enter(lead, room, **{"joist1-first": "11", "joist1-usual": SIXTEEN})
    enter(lead, room, **{"joist1-first": "13"})

    def press():
        return lead.post(reverse("put_back_overhead", args=[room.pk]), {"version": fresh(room).ceiling.version})

    press()
    assert overhead(room).joists[0].first == inches(11)
    press()
    assert overhead(room).joists[0].first == inches(13)


def test_putting_back_from_an_old_page_changes_nothing(lead, room):
    enter(lead, room, **{"joist1-first": "11", "joist1-usual": SIXTEEN})
    lead.post(reverse("put_back_overhead", args=[room.pk]), {"version": 1})
    assert overhead(room).joists[0].first == inches(11)


# Things


def add(client, room, what, **typed):
    address = reverse("new_thing", args=[room.pk]) + f"?what={what}"
    boxes = on_page(client.get(address), "what")
    return client.post(address, boxes | typed)


def test_a_thing_is_picked_with_its_clearance_and_its_source(lead, room):
    """12 in from a smoke alarm's edge, from weakly sourced public pages: the table says so beside the box."""
    page = lead.get(reverse("new_thing", args=[room.pk]) + "?what=smoke_alarm").content.decode()
    assert "12&quot;" in page and "weakly sourced" in page and "licensed trade" in page
    assert add(lead, room, "smoke_alarm", x="60", y="40", wide="6").status_code == 302
    (alarm,) = overhead(room).things
    assert (alarm.name, alarm.clear, alarm.fixed, alarm.round) == ("Smoke alarm", inches(12), True, True)
    assert alarm.clear_to is ClearTo.RIM and alarm.deep == inches(6)


def test_another_clearance_than_the_tables_needs_a_note(lead, room):
    told = {"x": "60", "y": "40", "wide": "14", "deep": "8", "clear": "6"}
    assert "say why" in add(lead, room, "register", **told).content.decode()
    add(lead, room, "register", **told, note="owner wants the row, R.")
    (register,) = overhead(room).things
    assert (register.clear, register.note) == (inches(6), "owner wants the row, R.")


def test_a_zero_clearance_needs_a_note(lead, room):
    answer = add(lead, room, "register", x="60", y="40", wide="14", deep="8", clear="0")
    assert "A zero needs a note" in answer.content.decode()


def test_the_tables_own_number_typed_again_stays_the_tables(lead, room):
    add(lead, room, "register", x="60", y="40", wide="14", deep="8", clear="12")
    assert fresh(room).ceiling.things.get().clear is None


def test_crew_enters_a_thing_but_not_another_clearance(client, room):
    crew = sign_in(client, MemberFactory(shop=room.shop, role=Role.CREW.value))
    told = {"x": "60", "y": "40", "wide": "14", "deep": "8"}
    assert add(crew, room, "register", **told, clear="1", note="me").status_code == 422
    assert add(crew, room, "register", **told).status_code == 302


def test_crew_may_put_right_where_a_thing_is_whose_clearance_a_lead_set(client, room):
    thing = ThingFactory(ceiling=CeilingFactory(room=room), clear=inches(6), note="R.")
    crew = sign_in(client, MemberFactory(shop=room.shop, role=Role.CREW.value))
    address = reverse("thing", args=[room.pk, 1])
    assert crew.post(address, on_page(crew.get(address), "what") | {"x": "61"}).status_code == 302
    (moved,) = overhead(room).things
    assert (moved.x, moved.clear, thing.x) == (inches(61), inches(6), inches(60))


def test_a_thing_that_is_not_there_is_taken_away(lead, room):
    ThingFactory(ceiling=CeilingFactory(room=room))
    address = reverse("thing", args=[room.pk, 1])
    lead.post(address, on_page(lead.get(address), "what") | {"remove": "1"})
    assert overhead(room).things == ()
    assert lead.get(address).status_code == 404


def test_a_thing_entered_from_an_old_list_is_not_mixed_up(lead, room):
    ceiling = CeilingFactory(room=room)
    ThingFactory(ceiling=ceiling, name="first")
    address = reverse("thing", args=[room.pk, 1])
    opened = on_page(lead.get(address), "what")
    add(lead, room, "register", x="1", y="1", wide="4", deep="4")
    lead.post(address, opened | {"name": "changed"})
    assert overhead(room).things[0].name == "first"


def test_depth_is_left_only_under_what_is_above(lead, room):
    answer = add(lead, room, "register", x="60", y="40", wide="14", deep="8", leaves="4")
    assert answer.status_code == 422


def test_a_fan_is_kept_from_as_its_blades_and_the_lights_beam_ask(lead, room):
    """Blades 30 in down, a beam of 100 degrees: 1.2 x 30 x tan 50 = 42.9 in, from a table of fan flicker ratios.

    Blades 10 in down give 14.3 in, and the 24 in floor holds (common practice, no source).
    """
    room.draft.light_type.beam_deg = 100
    room.draft.light_type.save()
    add(lead, room, "ceiling_fan", x="60", y="40", wide="52", blades_drop="30")
    add(lead, room, "ceiling_fan", x="60", y="40", wide="52", blades_drop="10")
    low, high = overhead(room).things
    assert inches("42.9") < low.clear < inches("42.91")
    assert high.clear == inches(24)


# Who may


def test_a_viewer_reads_and_does_not_write(client, room):
    viewer = sign_in(client, MemberFactory(shop=room.shop, role=Role.VIEWER.value))
    assert viewer.get(page_of(room)).status_code == 200
    assert viewer.post(page_of(room)).status_code == 403


def test_a_stranger_finds_nothing(client, room):
    assert sign_in(client, MemberFactory()).get(page_of(room)).status_code == 404


# Copies and counts


def test_a_copied_rooms_framing_still_has_to_be_looked_at(lead, room):
    enter(lead, room, **{"joist1-first": "11", "joist1-usual": SIXTEEN})
    lead.post(reverse("copy_room", args=[room.pk]), {"times": 1})
    twin = room.job.rooms.order_by("pk").last()
    found = overhead(twin)
    assert len(found.joists) == 1 and not found.looked
    assert "Nobody has looked here yet" in lead.get(page_of(twin)).content.decode()


def test_a_ceiling_takes_two_thousand_things_and_no_more(room):
    one = ThingFactory.build(ceiling=None)
    entry = entered(ceiling_of(room))
    with pytest.raises(TooMany, match="2000"):
        change_ceiling(ceiling_of(room), 1, Entered(entry.columns, things=(one,) * 2001))
    assert not Ceiling.objects.of(room.shop).exists()


def test_a_room_is_read_in_as_many_queries_with_many_things_as_with_one(room):
    ceiling = CeilingFactory(room=room)
    JoistRunFactory(ceiling=ceiling)

    def queries():
        with CaptureQueriesContext(connection) as asked:
            found = fresh(room)
            inputs_of(found, draft_of(found))
        return len(asked)

    ThingFactory(ceiling=ceiling)
    with_one = queries()
    for n in range(30):
        ThingFactory(ceiling=ceiling, name=f"thing {n}")
    assert queries() == with_one
    assert len(overhead(room).things) == 31


def test_a_drywall_joint_is_a_line_without_width(lead, room):
    assert add(lead, room, "register", x="60", y="40", wide="0", deep="96").status_code == 302
    assert add(lead, room, "register", x="60", y="40", wide="0", deep="0").status_code == 422


def test_a_layout_is_worked_out_with_what_was_entered(lead, room):
    enter(lead, room, **{"joist1-first": "11", "joist1-usual": SIXTEEN})
    found = fresh(room)
    assert lay_out(inputs_of(found, draft_of(found))).arrangement.marks
