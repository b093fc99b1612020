"""Framing laid around the marks, boxes over an isolated lid, a line over a task, rows from the room next door.

The room: a cloud of 150 1/2 by 77 1/4 in, 6 in off every wall. Two rows of three 4 1/4 in holes: columns 12, 75 1/4 and
138 1/2 in, rows 18 and 59 1/4 in from the edge, an 8 in speaker hole in both gaps of each row. The shop keeps 1/2 in
beside framing. It was taped 1/2 by 1/4 in larger than planned, and nobody says where that lies: the gaps are 5 3/4 in
at left and right, 5 7/8 in at the door and far wall. All of it is common practice, no source; the sums are by hand.
"""

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from layout.engine.marks import Axis, Orientation, Side
from layout.engine.room import lay_out
from layout.inputs import inputs_of
from layout.models import WayTaken
from layout.services import draft_of
from layout.suit.next_door import same_way
from projects.ceilings.models import Ceiling
from projects.platform.permissions import Role
from tests.factories import CeilingFactory, JobFactory, JoistRunFactory, MemberFactory, RoomFactory, ShopFactory
from tests.shops import build_room, draft_room, forms_of, fresh, practice_room, sign_in, tape_room

pytestmark = pytest.mark.django_db

READ = ("framing_to_suit", "lid", "task_lines", "next_door")
WRITE = ("take_framing", "hold_task", "hold_next_door")


@pytest.fixture
def room():
    return practice_room(ShopFactory())


@pytest.fixture
def lead(client, room):
    return sign_in(client, MemberFactory(shop=room.shop, role=Role.CREW_LEAD.value))


def see(client, name, room, **asked):
    page = client.get(reverse(name, args=[room.pk]), asked)
    assert page.status_code == 200
    return page


def read(page):
    return page.content.decode().replace("&quot;", '"').replace("&#x27;", "'")


def offered(page, name, room):
    action = reverse(name, args=[room.pk])
    return [boxes for where, boxes in forms_of(page) if where == action]


def press(client, name, room, boxes):
    return client.post(reverse(name, args=[room.pk]), boxes, follow=True)


def laid_out(room):
    found = fresh(room)
    return lay_out(inputs_of(found, draft_of(found))).arrangement


# Framing


def wide_apart(page, room):
    """Members along the rows, 24 in (609,600,000 nm) on center."""
    [boxes] = [one for one in offered(page, "take_framing", room) if one["key"].startswith("along-609600000-")]
    return boxes


def test_a_clouds_framing_is_offered_where_it_misses_every_mark(lead, room):
    """Every 24 in, rows 18 and 59 1/4 in forbid 12 3/4 to 23 1/4 and 6 to 16 1/2 (half an 8 in hole, 1/2 in, half a
    member: 5 1/4 in). Free is 23 1/4 to 30: its middle is 26 5/8, so the first stands at 2 5/8 and may be off by 3 3/8.
    """
    words = read(see(lead, "framing_to_suit", room))
    assert "24 in on center, running left to right" in words and "19.2 in on center" in words
    assert "4 members: the first one's center 2 5/8\" from the ceiling's edge at the door wall" in words
    assert 'The first may be off by 3 3/8" either way' in words


def test_a_choice_that_meets_marks_says_which_and_what_blocking_it_takes(lead, room):
    """At 8 in the bay is 6 1/2 in: an 8 in hole goes into none, so every speaker is met, two pieces each."""
    words = read(see(lead, "framing_to_suit", room, width="1 1/2", spacing="8"))
    assert "SP1, SP2, SP3, SP4" in words and "8 pieces of blocking" in words
    assert "whoever designs the framing" in words


def test_both_ways_and_each_usual_spacing_are_there_and_one_of_our_own(lead, room):
    assert len(offered(see(lead, "framing_to_suit", room), "take_framing", room)) == 8
    own = see(lead, "framing_to_suit", room, width="1 1/2", spacing="20")
    assert len(offered(own, "take_framing", room)) == 10


def test_one_press_makes_it_the_rooms_framing_and_the_ceilings_own_put_back_undoes_it(lead, room):
    boxes = wide_apart(see(lead, "framing_to_suit", room), room)
    press(lead, "take_framing", room, boxes | {"depth": "3 1/2"})
    ceiling = fresh(room).ceiling
    [run] = ceiling.joists.all()
    assert (run.runs, run.spacing, run.first, run.first_from, run.datum, run.width, run.depth) == (
        "left_right", inches(24), inches("2 5/8"), "door", "edge", inches("1 1/2"), inches("3 1/2"),
    )  # fmt: skip
    assert ceiling.framing == "found" and ceiling.looked_by
    assert not [one for one in laid_out(room).findings if "joist" in str(one.near)]
    lead.post(reverse("put_back_overhead", args=[room.pk]), {"version": ceiling.version})
    assert not fresh(room).ceiling.joists.exists()


def test_framing_from_a_page_that_is_out_of_date_is_not_taken(lead, room):
    boxes = wide_apart(see(lead, "framing_to_suit", room), room)
    press(lead, "take_framing", room, boxes)
    version = fresh(room).ceiling.version
    press(lead, "take_framing", room, boxes)
    assert fresh(room).ceiling.version == version


def test_framing_worked_out_for_marks_that_moved_since_is_not_taken(lead, room):
    boxes = wide_apart(see(lead, "framing_to_suit", room), room)
    room.draft.row_setback = inches(22)
    room.draft.save()
    assert "no longer offered" in read(press(lead, "take_framing", room, boxes))
    assert not Ceiling.objects.of(room.shop).exists()


def test_framing_of_a_ceiling_that_turned_out_to_be_framed_is_not_taken(lead, room):
    boxes = wide_apart(see(lead, "framing_to_suit", room), room)
    room.ceiling_system = "board"
    room.save()
    assert "no longer offered" in read(press(lead, "take_framing", room, boxes))
    assert not Ceiling.objects.of(room.shop).exists()


def test_framing_that_stands_is_not_laid_anew(lead, room):
    framed = practice_room(room.shop, ceiling_system="board", gap="0")
    words = read(see(lead, "framing_to_suit", framed))
    assert "stands where the framer put it" in words and not offered(
        see(lead, "framing_to_suit", framed), "take_framing", framed
    )
    assert "Framing to suit" not in read(see(lead, "room", framed))


def test_a_ceiling_said_to_hang_as_wanted_can_be_laid_whatever_its_kind(lead, room):
    hung = practice_room(room.shop, ceiling_system="board", gap="0")
    CeilingFactory(room=hung, framing="none")
    assert len(offered(see(lead, "framing_to_suit", hung), "take_framing", hung)) == 8


def test_a_width_nobody_can_read_names_the_box(lead, room):
    assert "A member is wide" in read(see(lead, "framing_to_suit", room, width="wide"))


# The lid


def test_an_isolated_lids_holes_are_counted_and_the_box_that_meets_a_joist_is_named(lead, room):
    """A joist at 14 in along: 2 in from the first lights' center. Their box is 4 1/4 + 2 x (3 + 1 1/4) = 12 3/4 in."""
    lid = practice_room(room.shop, ceiling_system="isolated", gap="0", finished=None)
    JoistRunFactory(
        ceiling=CeilingFactory(room=lid, framing="found"), first=inches(14), spacing=inches(100), datum="finished"
    )
    words = read(see(lead, "lid", lid))
    assert "10 holes through the lid" in words
    assert '12 3/4"' in words and "too near joist 1" in words
    assert "leaks sound" in words and "local code" in words
    assert "The depth" in words  # nobody entered it: said, not passed over


def test_boxes_that_would_meet_are_named_together(lead, room):
    """Light 4 1/4 in, speaker 8 in, 31 5/8 in apart: with 9 in free inside and a 5 in wall their boxes reach 16 1/8 and
    18 in, more than the 31 5/8 in between; with a 4 in wall 15 1/8 and 17 in do too, with 8 in free and 4 in not.
    """
    assert "it meets the box over SP1" in read(see(lead, "lid", room, wall="5", inside="9"))
    assert "it meets the box over SP1" in read(see(lead, "lid", room, wall="4", inside="9"))
    assert "it meets the box" not in read(see(lead, "lid", room, wall="4", inside="8"))


def test_where_nobody_looked_no_box_is_said_to_clear(lead, room):
    assert "nobody has looked yet" in read(see(lead, "lid", room))


# A task


def test_an_island_gets_its_lights_on_the_center_line_and_one_press_holds_them(lead, room):
    """70 in long: 46 in between lights 12 in inside the ends, two gaps of 23 in."""
    page = see(lead, "task_lines", room, task="island", runs="left_right", start="40", end="110", center="60", look="1")
    assert 'Along it: 52", 75", 98".' in read(page)
    line, each, _every = offered(page, "hold_task", room)
    press(lead, "hold_task", room, each)
    marks = laid_out(room).marks
    assert [mark.along for mark in marks if mark.kind == "light" and mark.row == 2] == [inches(n) for n in (52, 75, 98)]
    assert {mark.across for mark in marks if mark.kind == "light" and mark.row == 2} == {inches(60)}
    way = WayTaken.objects.get()
    assert (way.kind, way.reason, way.by.role) == ("task_island_each", "Island", "crew_lead")
    lead.post(reverse("put_way_back", args=[room.pk]), {"version": draft_of(fresh(room)).version})
    assert laid_out(room).rows == (inches(18), inches("59 1/4"))
    assert line["key"] != each["key"]


def test_the_line_alone_is_held_and_the_lights_stay_on_their_columns(lead, room):
    page = see(lead, "task_lines", room, task="island", runs="left_right", start="40", end="110", center="60", look="1")
    press(lead, "hold_task", room, offered(page, "hold_task", room)[0])
    assert laid_out(room).rows[1] == inches(60)
    assert laid_out(room).columns == (inches(12), inches("75 1/4"), inches("138 1/2"))


def test_a_grazed_wall_draws_the_near_row_to_12_in_off_its_finished_face(lead, room):
    """The far wall stands 5 7/8 in past the edge: 77 1/4 + 5 7/8 - 12 = 71 1/8 in."""
    words = read(see(lead, "task_lines", room, task="graze", wall="far", look="1"))
    assert 'Row 2 held at 71 1/8"; it stands at 59 1/4" now.' in words
    assert "every wave in the drywall" in words


def test_in_front_of_a_screen_3_ft_stay_free_of_holes(lead, room):
    """36 in and half a 4 1/4 in hole off the left wall, 5 3/4 in of which are the gap: 32 3/8 in."""
    words = read(see(lead, "task_lines", room, task="screen", wall="left", look="1"))
    assert 'Column 1 held at 32 3/8"' in words


def test_art_needs_a_height_and_says_where_to_tape_it(lead, room):
    words = read(see(lead, "task_lines", room, task="accent", wall="door", target="60", look="1"))
    assert "No height was taped here" in words


def test_art_is_lit_from_height_less_target_times_the_tangent_of_30_degrees(lead, room):
    """60 in x 0.57735 = 34.641 in off the finished wall, 28.766 in from the edge. Tangent: any table."""
    tape_room(room, "finished", "150 1/2", "77 1/4", height="120")
    words = read(see(lead, "task_lines", fresh(room), task="accent", wall="door", target="60", look="1"))
    assert '34 5/8" off the finished wall' in words and 'Row 1 held at 28 3/4"' in words


@pytest.mark.parametrize(
    ("task", "asked"),
    [
        ("counter", {"wall": "far", "start": "10", "end": "120", "deep": "25", "at": "40"}),
        ("vanity", {"wall": "left", "basins": "20, 50", "deep": "22"}),
        ("desk", {"wall": "right", "start": "10", "end": "70", "deep": "30"}),
        ("hall", {"doors": "40"}),
        ("stairs", {"low_start": "0", "low_end": "36", "high_start": "110", "high_end": "150"}),
        ("closet", {"runs": "door_far", "start": "4", "end": "70", "center": "75"}),
    ],
)
def test_each_task_shows_its_line_and_offers_to_hold_it(lead, room, task, asked):
    page = see(lead, "task_lines", room, task=task, look="1", **asked)
    assert "Where its lights belong" in read(page)
    assert offered(page, "hold_task", room)


def test_a_hall_takes_one_row_and_the_other_rows_go(lead, room):
    """150 1/2 in long: two gaps of 75 1/4 in, 8 ft at most, half of one off both ends; 77 1/4 / 2 in across."""
    room.draft.speaker_gaps = ""
    room.draft.save()
    page = see(lead, "task_lines", room, task="hall", doors="", look="1")
    press(lead, "hold_task", room, offered(page, "hold_task", room)[0])
    found = laid_out(room)
    assert found.columns == (inches("37 5/8"), inches("112 7/8")) and found.rows == (inches("38 5/8"),)
    assert WayTaken.objects.get().kind == "task_hall_alone"


def test_a_washed_wall_says_how_far_apart_its_lights_may_stand(lead, room):
    """120 in high: 30 to 36 in off (a third is 40, more than 36), 1 1/4 x 36 = 45 in apart; now 63 1/4 in."""
    tape_room(room, "finished", "150 1/2", "77 1/4", height="120")
    words = read(see(lead, "task_lines", fresh(room), task="wall_wash", wall="door", look="1"))
    assert '30" to 36" off the finished wall' in words
    assert 'no more than 45" apart; the widest gap is 63 1/4" now' in words


def test_a_metric_shop_reads_millimeters(client):
    room = practice_room(ShopFactory(style="mm"), job=None)
    lead = sign_in(client, MemberFactory(shop=room.shop, role=Role.CREW_LEAD.value))
    assert "600 mm on center" in read(see(lead, "framing_to_suit", room))
    assert "holes through the lid" in read(see(lead, "lid", room))


def test_a_counter_that_ends_before_it_starts_names_the_box(lead, room):
    words = read(see(lead, "task_lines", room, task="counter", wall="far", start="90", end="40", deep="25", look="1"))
    assert "It ends before it starts" in words


def test_a_line_from_a_page_that_is_out_of_date_is_not_held(lead, room):
    page = see(lead, "task_lines", room, task="graze", wall="far", look="1")
    [boxes] = offered(page, "hold_task", room)
    room.draft.version += 1
    room.draft.save()
    press(lead, "hold_task", room, boxes)
    assert not WayTaken.objects.exists()


# Next door


@pytest.fixture
def next_door(room):
    """166 by 93 in without a gap: columns 12, 83 and 154 in from its left wall."""
    other = build_room(room.job, name="Landing", furring="", gap="0", finished=None)
    draft_room(other, speaker_gaps="", speaker_type=None)
    return fresh(other)


def through(room, other, their_wall, their_corner):
    return {
        "neighbor": other.pk, "wall": "far", "from_corner": "60", "wide": "40", "their_wall": their_wall,
        "their_corner": their_corner,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("their_wall", "their_corner", "held"),
    [
        ("door", "65", "72 1/4"),  # 83 is 18 past the jamb; 60 + 18 on the wall, less the gap
        ("far", "100", "71 1/4"),  # its far wall is counted the other way: 100 - 83 = 17 past the jamb
    ],
)
def test_a_column_seen_through_the_opening_is_held_on_its_line(lead, room, next_door, their_wall, their_corner, held):
    page = see(lead, "next_door", room, **through(room, next_door, their_wall, their_corner))
    [boxes] = offered(page, "hold_next_door", room)
    press(lead, "hold_next_door", room, boxes)
    assert laid_out(room).columns[1] == inches(held)
    assert WayTaken.objects.get().kind == "next_door"


def test_a_neighbors_own_gap_counts_on_the_wall_line(lead, room, next_door):
    """The cloud's column 75 1/4 in from its edge is 81 in from its finished wall, 21 past the jamb: 65 + 21 here."""
    asked = {"neighbor": room.pk, "wall": "door", "from_corner": "65", "wide": "40", "their_wall": "far"}
    page = see(lead, "next_door", next_door, **asked, their_corner="60")
    [boxes] = offered(page, "hold_next_door", next_door)
    press(lead, "hold_next_door", next_door, boxes)
    assert laid_out(next_door).columns[1] == inches(86)


def test_two_rooms_back_to_back_with_the_same_zero_corner_count_the_same_way():
    same = Orientation(Axis.LEFT_RIGHT)
    assert same_way(same, Side.FAR, same, Side.DOOR) and same_way(same, Side.LEFT, same, Side.RIGHT)
    assert not same_way(same, Side.FAR, same, Side.FAR)
    assert not same_way(same, Side.FAR, Orientation(Axis.LEFT_RIGHT, zero_x=Side.RIGHT), Side.DOOR)


def test_lines_that_pass_no_opening_hold_nothing_and_the_page_says_so(lead, room, next_door):
    page = see(lead, "next_door", room, **through(room, next_door, "door", "40"))
    assert "None of its lines passes the opening" in read(page)
    assert not offered(page, "hold_next_door", room)


def test_the_room_that_was_not_taped_is_named(lead, room):
    bare = RoomFactory(job=room.job, name="Pantry", ceiling_system="board")
    draft_room(bare)
    words = read(see(lead, "next_door", room, **through(room, bare, "door", "65")))
    assert "Pantry can't be laid out yet" in words and "was not taped" in words


def test_a_job_with_one_room_says_what_to_do_first(lead, room):
    assert "no other room yet" in read(see(lead, "next_door", room))


def test_another_jobs_room_is_not_next_door(lead, room):
    far_off = practice_room(room.shop, job=JobFactory(shop=room.shop))
    RoomFactory(job=room.job)
    page = see(lead, "next_door", room, **through(room, far_off, "door", "65"))
    assert "neighbor" in page.context["form"].errors


# Who, and how much is asked of the database


@pytest.mark.parametrize("name", READ)
def test_crew_reads_each_page_and_finds_nothing_to_press(client, room, name):
    crew = sign_in(client, MemberFactory(shop=room.shop, role=Role.CREW.value))
    assert "Take this framing" not in read(see(crew, name, room))


@pytest.mark.parametrize("name", WRITE)
def test_crew_holds_nothing_a_stranger_finds_nothing_and_a_look_writes_nothing(client, room, name):
    address = reverse(name, args=[room.pk])
    crew = sign_in(client, MemberFactory(shop=room.shop, role=Role.CREW.value))
    assert crew.post(address).status_code == 403
    stranger = sign_in(client, MemberFactory(role=Role.OWNER.value))
    assert stranger.post(address).status_code == 404
    owner = sign_in(client, MemberFactory(shop=room.shop, role=Role.OWNER.value))
    assert owner.get(address).status_code == 405
    assert owner.post(reverse(name, args=[987_654])).status_code == 404
    assert "Nothing was" in read(owner.post(address, follow=True))


@pytest.mark.parametrize("name", READ)
def test_a_stranger_and_an_absent_room_are_answered_alike(client, room, name):
    stranger = sign_in(client, MemberFactory(role=Role.OWNER.value))
    assert stranger.get(reverse(name, args=[room.pk])).status_code == 404
    assert stranger.get(reverse(name, args=[987_654])).status_code == 404
    assert stranger.post(reverse(name, args=[987_654])).status_code == 405


def test_no_word_of_a_solver_and_no_promise_is_read(lead, room, next_door):
    pages = [see(lead, name, room) for name in READ]
    pages.append(see(lead, "task_lines", room, task="graze", wall="far", look="1"))
    pages.append(see(lead, "next_door", room, **through(room, next_door, "door", "65")))
    for page in pages:
        for word in ("infeasible", "repair", "objective", "violation", "unevenness", "constraint", "compli"):
            assert word not in read(page).lower(), word


@pytest.mark.parametrize(
    ("name", "asked", "most"),
    [
        ("framing_to_suit", {}, 18),
        ("lid", {}, 18),
        ("task_lines", {"task": "graze", "wall": "far", "look": "1"}, 18),
        ("next_door", None, 38),
    ],
)
def test_a_page_asks_the_database_a_fixed_number_of_questions(
    lead, room, next_door, django_assert_max_num_queries, name, asked, most
):
    asked = through(room, next_door, "door", "65") if asked is None else asked
    with django_assert_max_num_queries(most):
        see(lead, name, room, **asked)


@pytest.mark.parametrize("name", WRITE)
@pytest.mark.parametrize("odd", ["\x00", "9" * 5000, "-1", "²", "٣", "x"])
def test_an_odd_press_writes_nothing(lead, room, next_door, name, odd):
    good = {"version": "1", "key": odd, "reason": odd, "width": "1 1/2", "task": "graze", "wall": "far"}
    answer = lead.post(reverse(name, args=[room.pk]), through(room, next_door, "door", "65") | good)
    assert answer.status_code == 302
    assert not WayTaken.objects.exists() and not Ceiling.objects.of(room.shop).exists()
