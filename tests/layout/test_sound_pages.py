"""What the pages of a room's sound tell, held against sums by hand: angles, coverage, level, bass, reverberation."""

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from layout.queries import layout_now
from layout.sound.models import SpeakerRole
from layout.sound.places import from_meters, place_of
from layout.sound.services import kept_of
from projects.ceilings.models import Ceiling, OutlineCorner
from projects.jobs.models import SpeakerWiring
from projects.platform.permissions import Role
from tests.factories import SeatFactory
from tests.listening import SEAT, enter, listening_room, role, speaker
from tests.shops import fresh, people_of, practice_room, sign_in

pytestmark = pytest.mark.django_db
PAGES = ("sound", "sound_background", "sound_low", "sound_choose", "sound_settings")


@pytest.fixture
def room():
    made = listening_room()
    enter(made)
    return fresh(made)


@pytest.fixture
def lead(client, room):
    return sign_in(client, people_of(room.shop)[Role.CREW_LEAD])


def page(client, room, name="sound"):
    response = client.get(reverse(name, args=[room.pk]))
    assert response.status_code == 200
    return response.context["page"]


def words(client, room, name="sound"):
    return " ".join(client.get(reverse(name, args=[room.pk])).content.decode().split())


# Angles


def test_a_speaker_is_heard_at_the_angle_a_protractor_shows(lead, room):
    """30 in left and 36 in ahead: atan(30/36) = 39.8 degrees; 60 in up over 46.9 in: 52.0 degrees."""
    figures = page(lead, room).figures["speakers"]
    left, right = figures
    assert (left["id"], left["channel"], right["id"]) == ("SP3", "L", "SP4")
    [seat] = left["seats"]
    assert seat["azimuth_deg"] == pytest.approx(39.806, abs=0.001)
    assert right["seats"][0]["azimuth_deg"] == pytest.approx(-39.806, abs=0.001)
    assert seat["elevation_deg"] == pytest.approx(52.01, abs=0.01)
    assert seat["distance_m"] == pytest.approx(76.131 * 0.0254, abs=0.0001)


def test_the_move_that_mends_it_is_said_in_inches_and_directions(lead, room):
    """The nearest place at 35 degrees: 3.2 in right, 2.3 in on; 30 degrees is one angle and 5 are leeway.

    To the half inch: 3 and 2 1/2 would leave atan(27 / 38.5) = 35.04 degrees; 3 1/2 and 2 are atan(26.5 / 38) = 34.89.
    """
    [told, _right] = page(lead, room).told
    assert told.tone == "bad" and "5° past the range and its 5° of leeway" in told.words
    assert told.move == 'Move SP3 3 1/2" to the right and 2" toward the far wall.'


@pytest.mark.parametrize("kind", ["meet", "in_line"])
def test_a_speaker_moved_as_the_page_says_is_in_range_afterwards(lead, room, kind):
    asked = page(lead, room, "sound_choose")
    sent = {"version": asked_version(lead, room), "speaker": asked.mark, "choice": kind}
    assert asked.choice(kind).off_angle == "0°"
    lead.post(reverse("take_sound_choice", args=[room.pk]), sent)
    moved = next(one for one in page(lead, room).figures["speakers"] if one["id"] == asked.mark)
    assert moved["seats"][0]["off_azimuth_deg"] == 0 and abs(moved["seats"][0]["azimuth_deg"]) <= 35


def asked_version(client, room):
    return client.get(reverse("sound_choose", args=[room.pk])).context["heard"].draft.version


def test_speakers_as_far_away_need_no_delay_and_a_nearer_one_waits(lead, room):
    rows = {row[0]: row for row in page(lead, room).alignment.rows}
    assert {row[2] for row in rows.values()} == {"0.0 ms"} and {row[3] for row in rows.values()} == {"0.0 dB"}


def test_a_channel_nobody_plays_and_one_that_isnt_in_the_layout_are_told(lead, room):
    enter(room, roles=(role("SP3", "L"), role("SP4", "U+110")))
    said = words(lead, room)
    assert "No speaker on this ceiling plays R, C, LS, RS" in said
    assert "SP4 plays U+110, which BS.775 3/2 hasn" in said


def test_a_role_whose_mark_is_gone_is_kept_and_told(lead, room):
    enter(room, roles=(role("SP3", "L"), role("SP9", "R")))
    assert "R was SP9, which is not on the ceiling now" in words(lead, room)
    assert SpeakerRole.objects.filter(room=room, mark="SP9").exists()


def test_without_a_screen_listeners_face_the_far_wall_and_the_page_says_so(lead, room):
    enter(room, screen=None)
    assert "face the middle of the far wall" in words(lead, room)
    assert page(lead, room).figures["speakers"][0]["seats"][0]["azimuth_deg"] == pytest.approx(39.806, abs=0.001)


def test_who_said_no_channel_is_shown_which_would_fit(lead, room):
    enter(room, roles=())
    assert dict(page(lead, room).suggested)["L"] == "SP3"


def test_a_room_for_background_is_sent_to_its_coverage(lead, room):
    enter(room, setup={"use": "background", "system": ""})
    assert "there are no angles to hold" in words(lead, room)


@pytest.mark.parametrize(
    ("lacks", "said"),
    [({"seats": ()}, "No seat is entered"), ({"setup": {"system": ""}}, "No loudspeaker layout is chosen")],
)
def test_what_is_missing_is_said_with_a_drawn_example(lead, room, lacks, said):
    enter(room, **lacks)
    told = words(lead, room)
    assert said in told and "<svg" in told and "It looks like this" in told


def test_without_a_height_no_angle_upward_is_told(client):
    room = listening_room(height="")
    enter(room)
    client = sign_in(client, people_of(room.shop)[Role.VIEWER])
    assert "the room&#x27;s height isn&#x27;t taped" in words(client, room)
    assert "height isn&#x27;t taped" in words(client, room, "sound_background")
    assert "height isn&#x27;t taped" in words(client, room, "sound_low")


# Coverage and level


def test_circles_are_twice_the_height_over_the_ears_at_90_degrees(lead, room):
    """60 in over the ears: 2 x 60 x tan 45 = 120 in across; speakers 60 in apart: half a circle."""
    found = page(lead, room, "sound_background")
    assert found.figures["circle_m"] == pytest.approx(120 * 0.0254)
    assert found.overlap.spacing_over_diameter == pytest.approx(0.5)
    assert found.overlap.kind == "square" and found.overlap.row_over_diameter == pytest.approx(72 / 120)


def test_the_level_below_a_speaker_follows_from_sensitivity_power_and_distance(lead, room):
    """88 + 10 log 50 - 20 log 1.524 = 88 + 16.99 - 3.66."""
    assert page(lead, room, "sound_background").figures["maximum_db"] == pytest.approx(101.33, abs=0.01)


def test_a_sensitivity_at_2_83_volts_is_turned_into_one_at_a_watt(client):
    """Into 4 ohms 2.83 V is 2 W: 3 dB less (a supplier's note)."""
    kind = speaker(listening_room().shop, sensitivity_at="2v83", impedance_ohm=4)
    room = listening_room(kind.shop, kind=kind)
    enter(room)
    client = sign_in(client, people_of(room.shop)[Role.VIEWER])
    assert page(client, room, "sound_background").figures["maximum_db"] == pytest.approx(101.33 - 3.01, abs=0.02)


def test_taps_are_summed_against_80_percent_of_the_amplifier_and_set_the_level(lead, room):
    """Four taps of 5 W are 20 W; 80 % of 60 W is 48 W. 88 + 10 log 5 - 20 log 1.524 = 91.3."""
    SpeakerWiring.objects.create(
        room=room, kind="chained_line", line_volts="70.7", tap_watts="5", amplifier_watts="60"
    )
    assert "4 taps take 20 W, 250 ohms; 80 % of the amplifier is 48 W." in words(lead, room, "sound_background")
    assert page(lead, room, "sound_background").figures["maximum_db"] == pytest.approx(91.33, abs=0.01)


def test_too_little_for_the_level_asked_is_said_with_the_watts_it_takes(lead, room):
    enter(room, setup={"target_db": 100})
    found = page(lead, room, "sound_background")
    assert found.figures["headroom_db"] < 0
    assert [tone for tone, _words in found.told] == ["bad"]


@pytest.mark.parametrize(
    ("measured_in", "said"),
    [("half", "in a baffle, as it sits here"), ("free", "adds up to 6 dB to the low notes"), ("", "wasn&#x27;t read")],
)
def test_how_the_sheet_measured_is_said_beside_the_level(client, measured_in, said):
    room = listening_room(kind=speaker(listening_room().shop, measured_in=measured_in))
    client = sign_in(client, people_of(room.shop)[Role.VIEWER])
    assert said in words(client, room, "sound_background")


def test_the_octave_the_angle_holds_at_is_said_with_what_stands_on_it(lead, room):
    enter(room, setup={"band_hz": 4000})
    told = words(lead, room, "sound_background")
    assert "its angle at 4 kHz" in told and "as driven, at 4 kHz" in told


def test_sound_loud_enough_to_harm_is_cautioned(lead, room):
    """101 dB below each at 50 W; 88 - 3.66 + 10 log 0.1 = 74 dB below each at a tenth of a watt."""
    assert "harms hearing" in words(lead, room, "sound_background")
    SpeakerWiring.objects.create(
        room=room, kind="chained_line", line_volts="70.7", tap_watts="0.1", amplifier_watts="60"
    )
    assert "harms hearing" not in words(lead, room, "sound_background")


def test_without_sensitivity_the_map_is_told_against_the_loudest_place(client):
    room = listening_room(kind=speaker(listening_room().shop, sensitivity_db=None))
    client = sign_in(client, people_of(room.shop)[Role.VIEWER])
    told = words(client, room, "sound_background")
    assert "The catalog has no sensitivity for it" in told and "against the loudest place" in told
    assert page(client, room, "sound_background").figures["mean_db"] is None


def test_without_an_angle_nothing_is_drawn_and_the_type_is_named(client):
    room = listening_room(kind=speaker(listening_room().shop, coverage_deg=None))
    client = sign_in(client, people_of(room.shop)[Role.VIEWER])
    found = page(client, room, "sound_background")
    assert found.circles is None and "no coverage angle" in found.missing[0].takes


def test_ears_above_the_ceiling_are_refused_in_words(lead, room):
    enter(room, setup={"ear_height": inches(96)})
    assert page(lead, listening_room(room.shop, height="90"), "sound_background").missing == ()
    low = listening_room(room.shop, height="90")
    enter(low, setup={"ear_height": inches(95)})
    assert "The ears are as high as the ceiling" in words(lead, low, "sound_background")


# Bass and reverberation


def test_the_lowest_mode_is_half_a_wave_along_the_room(lead, room):
    """343.2 / 2 / 4.572 m = 37.53 Hz; 343.2 / 2 / 3.6576 = 46.92 Hz."""
    first, second = page(lead, room, "sound_low").figures["modes"][:2]
    assert (first["index"], second["index"]) == ([1, 0, 0], [0, 1, 0])
    assert first["hz"] == pytest.approx(37.533, abs=0.005) and second["hz"] == pytest.approx(46.916, abs=0.005)


def test_where_modes_run_together_follows_from_the_time_that_was_measured(lead, room):
    """V = 4.572 x 3.6576 x 2.667 = 44.60 m3; 2000 sqrt(0.5 / 44.60) = 211.8 Hz."""
    enter(room, setup={"low_decay_s": "0.5"})
    assert page(lead, room, "sound_low").figures["schroeder_hz"] == pytest.approx(211.8, abs=0.2)


def test_reverberation_of_a_bare_concrete_room_is_long(lead, room):
    """S 77.34 m2 of 0.02: A 1.547 m2, and the air some 0.11 at 500 Hz: 0.161 x 44.60 / 1.66 = 4.33 s."""
    surfaces = ("floor", "ceiling", "door", "left", "far", "right")
    enter(room, materials=tuple({"surface": s, "material": "concrete", "percent": 100} for s in surfaces))
    times = {one["hz"]: one for one in page(lead, room, "sound_low").figures["times"]}
    assert times[500]["sabine_s"] == pytest.approx(4.33, rel=0.02)
    assert times[500]["eyring_s"] < times[500]["sabine_s"]


def test_a_surface_nobody_said_is_named(lead, room):
    enter(room, materials=({"surface": "floor", "material": "concrete", "percent": 100},))
    found = page(lead, room, "sound_low")
    assert found.times is None and "ceiling, door wall, left wall, far wall, right wall" in found.missing[0].cannot


def test_two_subs_in_opposite_walls_leave_one_seat_row_smoother_than_one_corner(lead, room):
    """Published studies favor opposite wall middles for seats off the walls; the page lists the best of each count."""
    seats = tuple(SEAT | {"x": inches(x), "main": x == 90} for x in (60, 90, 120))
    enter(room, seats=seats, setup={"low_decay_s": "0.5"})
    best = page(lead, room, "sound_low").figures["best"]
    assert [one["count"] for one in best] == [1, 2, 3, 4]
    assert best[1]["score_db"] <= best[0]["score_db"]


def test_a_ceiling_that_is_no_rectangle_says_why_and_what_still_holds(lead, room):
    ceiling = Ceiling.objects.create(shop=room.shop, room=room)
    corners = [(0, 0), (180, 0), (180, 144), (100, 144), (100, 100), (0, 100)]
    OutlineCorner.objects.bulk_create(OutlineCorner(ceiling=ceiling, x=inches(x), y=inches(y)) for x, y in corners)
    found = page(lead, room, "sound_low")
    assert found.modes is None and found.best == () and "closed form only in a box" in found.not_a_box
    assert found.figures["schroeder_hz"] > 0
    assert page(lead, room, "sound_background").circles is not None


# The room's places


def test_a_marks_place_is_from_the_finished_walls_whatever_the_gap():
    """162 in between the finished walls, a cloud of 150 1/2 in between them: 5 3/4 in off each."""
    room = practice_room(listening_room().shop)
    layout = layout_now(room)
    first = layout.arrangement.marks[0]
    x, _y = place_of(first, layout)
    assert x - first.along == inches("5 3/4")


def test_meters_are_told_to_the_tenth_of_a_millimeter():
    assert int(from_meters(1.23456)) == 1_234_600_000


def test_a_seat_and_a_sub_outside_the_room_are_named_and_left_out(lead, room):
    """180 by 144 in: 200 in from the left is in the next room."""
    away = {"x": inches(200), "y": inches(20)}
    enter(room, seats=(SEAT, SEAT | away | {"main": False}), subs=({**away, "height": inches(10), "placed": True},))
    for name in PAGES:
        assert "for it stands outside this room: seat 2, W1." in words(lead, room, name)
    assert len(page(lead, room).seats) == 1
    assert page(lead, room, "sound_low").figures["best"] and page(lead, room, "sound_low").now is None


# For everyone


@pytest.mark.parametrize("name", PAGES)
def test_a_viewer_reads_every_page_and_finds_nothing_to_press_but_links(client, room, name):
    told = words(sign_in(client, people_of(room.shop)[Role.VIEWER]), room, name)
    assert "Take this" not in told and 'class="do"' not in told


@pytest.mark.parametrize("name", PAGES)
def test_more_seats_cost_no_more_questions(lead, room, name, django_assert_max_num_queries):
    for number in range(2, 13):
        SeatFactory(room=room, number=number, x=inches(20 + number * 10), y=inches(60))
    with django_assert_max_num_queries(50):
        lead.get(reverse(name, args=[room.pk]))


def test_the_rooms_page_leads_here(lead, room):
    assert reverse("sound", args=[room.pk]) in lead.get(reverse("room", args=[room.pk])).content.decode()


def test_nothing_entered_is_a_room_with_nothing_stored(lead):
    shop = kept_of(listening_room()).setup.room.shop
    other = listening_room(shop)
    assert kept_of(other).setup.pk is None
