"""What people enter about a room's sound: kept whole, refused by box, going along when a room is copied or turned."""

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from layout.engine.lengths import inches
from layout.models import MovedMark, WayTaken
from layout.services import draft_of
from layout.sound.gather import heard_of
from layout.sound.models import Screen, Seat, SoundSetup, SpeakerRole, SubPlace, SurfaceMaterial
from layout.sound.services import kept_of
from projects.jobs.services import change_room, copy_room
from projects.platform.permissions import Role
from tests.factories import (
    ScreenFactory,
    SeatFactory,
    SoundSetupFactory,
    SpeakerRoleFactory,
    SubPlaceFactory,
    SurfaceMaterialFactory,
)
from tests.listening import enter, listening_room
from tests.shops import fresh, on_page, people_of, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    return listening_room()


@pytest.fixture
def lead(client, room):
    return sign_in(client, people_of(room.shop)[Role.CREW_LEAD])


def save(client, room, **more):
    address = reverse("sound_settings", args=[room.pk])
    sent = on_page(client.get(address), "version") | more
    return client.post(address, {name: value for name, value in sent.items() if value is not None})


def said(response):
    return " ".join(response.content.decode().split())


def test_a_seat_a_screen_a_channel_a_sub_and_a_material_are_kept(lead, room):
    more = {
        "use": "listening", "system": "BS.775 3/2", "seat-1-x": '7\' 6"', "seat-1-y": "72", "seat-1-main": "on",
        "screen-wall": "far", "screen-center": "90", "screen-width": "100", "role-SP3-channel": "L",
        "sub-1-x": "12", "sub-1-y": "12", "sub-1-placed": "on", "of-floor-material": "carpet_on_pad",
        "of-left-material": "gypsum_studs", "of-left-other": "window_glass", "of-left-percent": "20",
    }  # fmt: skip
    assert save(lead, room, **more).status_code == 302
    kept = kept_of(room)
    assert kept.setup.system == "BS.775 3/2"
    assert [(seat.x, seat.y, seat.main) for seat in kept.seats] == [(inches(90), inches(72), True)]
    assert (kept.screen.wall, kept.screen.width) == ("far", inches(100))
    assert [(one.mark, one.channel) for one in kept.roles] == [("SP3", "L")]
    assert [(one.x, one.height, one.placed) for one in kept.subs] == [(inches(12), inches(10), True)]
    assert {(one.surface, one.material, one.percent) for one in kept.materials} == {
        ("floor", "carpet_on_pad", 100), ("left", "gypsum_studs", 80), ("left", "window_glass", 20),
    }  # fmt: skip
    again = save(lead, room)
    assert again.status_code == 302 and len(kept_of(room).seats) == 1 and len(kept_of(room).materials) == 3


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"seat-1-x": "90"}, "This is needed too"),
        ({"seat-1-x": "90", "seat-1-y": "400 ft"}, "over the most allowed"),
        ({"seat-1-x": "90", "seat-1-y": "72", "seat-1-ear_height": "3"}, "under the least allowed"),
        ({"screen-center": "90", "screen-width": "100"}, "Which wall is it on?"),
        ({"screen-wall": "far"}, "This is needed too"),
        ({"sub-1-placed": "on"}, "This is needed too"),
        ({"of-left-other": "window_glass", "of-left-percent": "20"}, "What is the rest of it?"),
        ({"of-left-material": "gypsum_studs", "of-left-other": "window_glass"}, "How much of the surface?"),
        ({"of-left-material": "concrete", "of-left-other": "concrete", "of-left-percent": "5"}, "Choose another"),
        ({"temperature_c": "90"}, "Enter 50 or less"),
        ({"leeway_deg": "60"}, "Enter 30 or less"),
        ({"system": "twelve trumpets"}, "not one of the available choices"),
        ({"role-SP3-channel": "kazoo"}, "not one of the available choices"),
    ],
)
def test_what_can_not_be_is_refused_by_its_box_and_nothing_is_lost(lead, room, typed, told):
    refused = save(lead, room, **typed)
    assert refused.status_code == 422 and told in said(refused)
    assert not SoundSetup.objects.of(room.shop).exists() and not Seat.objects.exists()
    first = next(iter(typed.values()))
    assert first in said(refused) or first in ("on", "twelve trumpets", "kazoo")


def test_only_the_first_seat_that_is_marked_so_is_the_main_one(lead, room):
    rows = {f"seat-{n}-{name}": value for n in (1, 2) for name, value in (("x", "90"), ("y", f"{n}0"), ("main", "on"))}
    save(lead, room, **rows)
    assert [seat.main for seat in kept_of(room).seats] == [True, False]


def test_two_people_at_once_lose_nothing(lead, room):
    enter(room)
    old = SoundSetup.objects.of(room.shop).get(room=room).version
    enter(room, setup={"target_db": 80})
    stale = save(lead, room, version=str(old), **{"seat-1-x": "33"})
    assert stale.status_code == 409 and "Someone else changed" in said(stale) and 'value="33"' in stale.content.decode()
    assert kept_of(room).seats[0].x == inches(90)


def test_a_viewer_reads_the_settings_and_can_not_save(client, room):
    client = sign_in(client, people_of(room.shop)[Role.VIEWER])
    assert client.get(reverse("sound_settings", args=[room.pk])).status_code == 200
    assert client.post(reverse("sound_settings", args=[room.pk]), {}).status_code == 403


def test_a_copied_room_keeps_its_sound(lead, room):
    enter(room, materials=({"surface": "floor", "material": "concrete", "percent": 100},))
    [twin] = copy_room(fresh(room), 1)
    kept = kept_of(twin)
    assert kept.setup.system == "BS.775 3/2" and kept.setup.pk != kept_of(room).setup.pk
    assert ([seat.x for seat in kept.seats], kept.screen.width) == ([inches(90)], inches(100))
    assert [(one.mark, one.channel) for one in kept.roles] == [("SP3", "L"), ("SP4", "R")]
    assert kept.materials[0].material == "concrete"


@pytest.mark.parametrize(
    ("turn", "left", "right"),
    [
        ({"zero_y": "far"}, "SP1", "SP2"),  # rows are counted from the far wall: the far row is the first
        ({"zero_x": "right"}, "SP4", "SP3"),
        ({"zero_x": "right", "zero_y": "far"}, "SP2", "SP1"),
    ],
)
def test_a_turned_room_keeps_each_channel_at_its_hole(room, turn, left, right):
    """SP3 stands at the left, far: from another zero corner the same hole has another number."""
    enter(room)
    change_room(fresh(room), fresh(room).version, turn)
    assert {one.channel: one.mark for one in SpeakerRole.objects.filter(room=room)} == {"L": left, "R": right}
    assert kept_of(room).seats[0].x == inches(90)  # seats are told from the walls and stay


def test_a_channel_stays_with_its_hole_when_speakers_are_numbered_anew(lead, room):
    """Said while the far row was numbered SP1 and SP2; a row laid out nearer the door made it SP3 and SP4."""
    enter(room)
    SpeakerRole.objects.filter(room=room, mark="SP3").update(mark="SP1", x=inches(60), y=inches(108))
    SpeakerRole.objects.filter(room=room, mark="SP4").update(mark="SP2", x=inches(120), y=inches(108))
    heard = heard_of(fresh(room))
    assert {role.channel: role.mark for role in heard.kept.roles} == {"L": "SP3", "R": "SP4"}
    assert "L was SP1; the speaker there is numbered SP3 now." in heard.of_roles


def test_a_channel_whose_speaker_stands_elsewhere_is_told_and_kept(lead, room):
    enter(room)
    SpeakerRole.objects.filter(room=room, mark="SP3").update(x=inches(20), y=inches(20))
    heard = heard_of(fresh(room))
    assert {role.channel: role.mark for role in heard.kept.roles} == {"L": "SP3", "R": "SP4"}
    assert heard.of_roles == ("SP3 stands elsewhere than when it was given L. Check what it plays, and save.",)


def test_what_is_saved_notes_where_each_speaker_stands_and_a_taken_choice_is_no_surprise(lead, room):
    enter(room)
    assert save(lead, room, use="listening", **{"role-SP4-channel": "R"}).status_code == 302
    assert {(int(r.x), int(r.y)) for r in SpeakerRole.objects.filter(room=room)} == {
        (int(inches(60)), int(inches(108))), (int(inches(120)), int(inches(108))),
    }  # fmt: skip
    take(lead, room, "meet")
    assert heard_of(fresh(room)).of_roles == ()


# Looks or angle


def choose(client, room, **more):
    return client.get(reverse("sound_choose", args=[room.pk]), more).context["page"]


def take(client, room, kind, mark="SP3", version=None):
    version = draft_of(fresh(room)).version if version is None else version
    sent = {"version": version, "speaker": mark, "choice": kind}
    return client.post(reverse("take_sound_choice", args=[room.pk]), sent, follow=True)


def test_both_costs_stand_side_by_side(lead, room):
    """In the pattern SP3 is 4.8 degrees past its leeway; 3.9 in off the pattern it is in range."""
    enter(room)
    page = choose(lead, room, speaker="SP3")
    keep, meet = page.choice("keep"), page.choice("meet")
    assert (keep.off_angle, keep.off_pattern, keep.here) == ("5°", '0"', True)
    assert (meet.off_angle, meet.off_pattern) == ("0°", '4"')
    assert page.azimuth_only  # 52 degrees up can't come down to ear height


def test_a_choice_moves_the_mark_to_a_place_on_the_tape_and_one_press_puts_it_back(lead, room):
    """The move as it is said, in half inches: 3 1/2 in to the right of 60 and 2 in on from 108."""
    enter(room)
    assert "Taken: Meet the angle" in said(take(lead, room, "meet"))
    [moved] = MovedMark.objects.filter(draft__room=room)
    assert (moved.kind, moved.row, moved.number) == ("speaker", 2, 1)
    assert (moved.along, moved.across) == (inches("63 1/2"), inches("110"))
    assert WayTaken.objects.get(room=room).kind == "sound_meet"
    assert choose(lead, room, speaker="SP3").choice("keep").here is False
    back = lead.post(reverse("put_way_back", args=[room.pk]), {"version": draft_of(fresh(room)).version})
    assert back.status_code == 302 and not MovedMark.objects.filter(draft__room=room).exists()


def test_keeping_the_pattern_lets_a_moved_mark_go(lead, room):
    enter(room)
    take(lead, room, "meet")
    take(lead, room, "keep")
    assert not MovedMark.objects.filter(draft__room=room).exists()


def test_a_stale_press_or_a_choice_that_is_gone_moves_nothing(lead, room):
    enter(room)
    assert "changed by someone else" in said(take(lead, room, "meet", version=99))
    assert "no longer there" in said(take(lead, room, "meet", mark="SP77"))
    assert "Nothing was moved" in said(take(lead, room, "", version=""))
    assert not MovedMark.objects.exists()


def test_crew_may_look_but_not_move(client, room):
    enter(room)
    client = sign_in(client, people_of(room.shop)[Role.CREW])
    assert choose(client, room).choices
    assert client.post(reverse("take_sound_choice", args=[room.pk]), {}).status_code == 403


# What the tables hold


@pytest.mark.parametrize(
    ("factory", "wrong"),
    [
        (SoundSetupFactory, {"use": "dancing"}),
        (SoundSetupFactory, {"ear_height": inches(1)}),
        (SoundSetupFactory, {"temperature_c": 90}),
        (SoundSetupFactory, {"leeway_deg": 31}),
        (SoundSetupFactory, {"target_db": 200}),
        (SoundSetupFactory, {"low_decay_s": 0}),
        (SoundSetupFactory, {"band_hz": 3}),
        (SeatFactory, {"number": 99}),
        (SeatFactory, {"ear_height": inches(1)}),
        (ScreenFactory, {"wall": "roof"}),
        (ScreenFactory, {"width": inches(1)}),
        (SpeakerRoleFactory, {"mark": ""}),
        (SpeakerRoleFactory, {"channel": ""}),
        (SubPlaceFactory, {"number": 0}),
        (SurfaceMaterialFactory, {"percent": 0}),
        (SurfaceMaterialFactory, {"surface": "hat"}),
    ],
)
def test_the_database_refuses_what_can_not_be(factory, wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        factory(**wrong)


def test_one_of_each_is_stored_beside_its_room():
    made = [
        factory()
        for factory in (ScreenFactory, SeatFactory, SpeakerRoleFactory, SubPlaceFactory, SurfaceMaterialFactory)
    ]
    assert [type(one) for one in made] == [Screen, Seat, SpeakerRole, SubPlace, SurfaceMaterial]
