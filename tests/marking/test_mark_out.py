"""The phone's mark-out: one mark after another from the zero corner, entered by the person on the floor."""

import pytest
from django.urls import reverse
from django.utils import timezone

from layout.as_built.models import MoveState
from layout.as_built.queries import marks_of, state_of
from layout.engine.lengths import inches
from projects.platform.permissions import Role
from reports.field.entries import ENTRIES, Conflict, Refused
from reports.marking.walk import spoken
from tests.as_built.rooms import crew, marked_room
from tests.conftest import own_copy, standing
from tests.shops import sign_in

built = standing(marked_room)


@pytest.fixture
def room(db, built):
    return own_copy(built)


@pytest.fixture
def hand(room):
    return crew(room)


def enter(hand, room, base=0, **data):
    return ENTRIES["as_built"].apply(hand, room, {"step": "floor"} | data, base, timezone.now(), None)


def place(room, ident):
    return marks_of(room).of(ident).place


@pytest.mark.parametrize(
    ("printed", "said"),
    [
        ("42", "42"),
        ("1/2", "a half"),
        ("30 1/4", "30 and 1 quarter"),
        ("7'-0\"", "7 feet"),
        ("1'-6 3/16\"", "1 foot 6 and 3 sixteenths"),
        ("11'-0 1/2\"", "11 feet and a half"),
        ("3740", "3740"),
        ("0", "0"),
    ],
)
def test_a_number_is_read_aloud_as_one_says_it(printed, said):
    assert spoken(printed) == said


def test_the_way_starts_with_the_tape_check_and_goes_back_along_every_second_row(client, room, hand):
    """19 ft by 10 ft, rows at 30 and 90: A1 to A4 there, A8 to A5 back; last to wall 228 - 186 = 42."""
    page = sign_in(client, hand).get(reverse("field_mark_out", args=[room.pk])).content.decode()
    way = ("check", "zero", "m-A1", "m-A4", "row-1", "m-A8", "m-A5", "row-2", "next")
    order = [page.index(f'id="{stop}"') for stop in way]
    assert order == sorted(order)
    assert "<dd>42</dd>" in page
    assert 'data-aloud="A 1. Along: 42. Across: 30."' in page
    assert "Both feet on the floor" in page


def test_pressed_without_scripts_it_is_kept(client, room, hand):
    where = reverse("field_mark_out", args=[room.pk]) + "?step=floor"
    answer = sign_in(client, hand).post(where, {"idents": "A1", "step": "floor", "base": "0"})
    assert answer.status_code == 302
    assert state_of([room])[room.pk].floor == 1


def test_a_place_is_read_from_the_face_the_card_speaks_from(hand, room):
    """No build-up here: from the framing and from the edge a number is the same."""
    enter(hand, room, idents="A1", along="42", across="31 1/2", face="framing", reason="duct")
    assert place(room, "A5") == (inches(42), inches("88 1/2"))


def test_what_waits_for_a_yes_says_so_and_why(hand, room):
    answer = enter(hand, room, idents="A1", across="36", face="framing", reason="client")
    assert answer["version"] == 0
    assert "waits for a yes" in answer["said"]
    assert room.mark_moves.get().state == MoveState.WAITS


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"idents": "A1", "across": "12.6.2", "face": "framing"}, "Across: "),
        ({"idents": "Q7"}, "no mark of revision 1"),
        ({"idents": ""}, "Mark: This is needed"),
        ({"idents": "A1 A2", "along": "40"}, "Several marks"),
        ({"idents": "A1", "step": "flown"}, "valid choice"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(hand, room, data, said):
    with pytest.raises(Refused, match=said):
        enter(hand, room, **data)


def test_two_who_differ_see_both_numbers(hand, room):
    enter(crew(room), room, idents="A1")
    with pytest.raises(Conflict) as both:
        enter(hand, room, idents="A1", across="31", face="framing", reason="duct")
    assert both.value.theirs["Across"] == '30"'
    assert both.value.mine["Across"] == '31"'
    assert both.value.theirs["version"] == 1


def test_a_whole_row_is_entered_at_once(hand, room):
    assert enter(hand, room, idents="A1 A2 A3 A4", step="framing")["version"] == 1
    assert state_of([room])[room.pk].framing == 4


def test_a_mark_whose_cutout_is_not_verified_has_no_button_to_cut_it(client, db):
    room = marked_room(verified=False)
    page = sign_in(client, crew(room)).get(reverse("field_mark_out", args=[room.pk]) + "?step=cut").content.decode()
    assert "cut a test hole in scrap first" in page.lower()
    assert "A1 is cut" not in page


def test_a_viewer_reads_and_enters_nothing(client, room):
    where = reverse("field_mark_out", args=[room.pk])
    client = sign_in(client, crew(room, Role.VIEWER))
    assert "A1 is on the floor" not in client.get(where).content.decode()
    assert client.post(where, {"idents": "A1", "step": "floor"}).status_code == 403


def test_no_word_of_money_is_on_it(client, room, hand):
    page = sign_in(client, hand).get(reverse("field_mark_out", args=[room.pk])).content.decode().lower()
    assert not any(word in page for word in ("price", "cost", "markup", "margin", "$"))
