"""A shop's own list becomes rooms: every cell read as it would be typed, every error named, all of them or none."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from layout.engine.lengths import feet, inches
from projects.accounts.models import Role
from projects.jobs.models import Room
from projects.jobs.services import add_room
from projects.pasting.reading import COLUMNS, Unreadable, table_of
from projects.pasting.rows import rows_of, why_unreadable
from projects.pasting.services import NotAllRight, enter, names_in
from projects.pasting.work import enter_rooms
from projects.trash.services import trash_room
from projects.work.models import State, Work
from projects.work.running import WorkFailed, do_work
from tests.conftest import standing
from tests.factories import FixtureTypeFactory, JobFactory, RoomListFactory
from tests.shops import people_of, sign_in


class House:
    def __init__(self):
        self.job = JobFactory()
        self.shop = self.job.shop
        self.people = people_of(self.shop)
        self.lead = self.people[Role.CREW_LEAD]
        self.light = FixtureTypeFactory(shop=self.shop)


house_standing = standing(House)


@pytest.fixture
def house(house_standing, db):
    return house_standing


def read(house, text):
    return rows_of(text, house.job, names_in(house.job))


def paste(house, text, kind="plan"):
    return enter(house.job, read(house, text), kind=kind, by=house.lead)


# Reading


@pytest.mark.parametrize("mark", ["\t", ",", ";"])
def test_columns_are_told_by_tabs_semicolons_or_commas(mark):
    table = table_of(mark.join(["Den", "1", "17 ft", "13 ft"]))
    assert table.columns == COLUMNS
    assert table.rows == ((1, ("Den", "1", "17 ft", "13 ft")),)


def test_inch_marks_are_no_quotes_but_quoted_cells_as_sheets_write_them_are_read():
    """RFC 4180 section 2: a quote inside a quoted field is written twice."""
    plain = table_of("Den\t1\t17' 2\"\t13' 6 1/2\"")
    quoted = table_of('Den,1,"17\' 2""","13\' 6 1/2"""')
    assert plain.rows[0][1] == quoted.rows[0][1] == ("Den", "1", "17' 2\"", "13' 6 1/2\"")


@pytest.mark.parametrize("text", [
    'Den,1,,,,,,,"see the drawing\nBath,1\nHall,1',
    'Den\t"17 ft\nBath\t8 ft',
    'Den,"17"x,13 ft',
])  # fmt: skip
def test_a_quote_that_is_never_closed_takes_no_row_into_its_cell_unsaid(text):
    with pytest.raises(Unreadable) as refused:
        table_of(text)
    assert "quotation mark" in why_unreadable(refused.value)


def test_a_cell_may_break_its_line_as_sheets_write_it(house):
    """RFC 4180 section 2, rule 6. A name is one line all the same; a note has them."""
    den, bath = read(house, 'Room,Note\n"Den\nnorth","one\ntwo"\nBath,')
    assert den.said == {"name": "Den north", "note": "one\ntwo"} and bath.said["name"] == "Bath"
    assert not den.errors


def test_headings_put_the_columns_in_any_order_and_lines_keep_their_numbers():
    table = table_of("Floor,Depth,Width,Name\n\n2,6',8' 4\",Bath")
    assert table.columns == ("level", "door_far", "left_right", "name")
    assert table.rows == ((3, ("2", "6'", "8' 4\"", "Bath")),)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("  \n\t\n", "Nothing was pasted"),
        ("Room,Level,Paint color", "No column is called “paint color”"),
        ("Room,Width,Left to right", "Two columns are headed"),
    ],
)
def test_what_is_no_table_says_what_to_do(text, words):
    with pytest.raises(Unreadable) as told:
        table_of(text)
    assert words in why_unreadable(told.value)


# Rows


def test_a_row_becomes_a_room_with_sizes_from_a_plan_its_usual_build_up_and_counts(house):
    (room,) = paste(house, "Den\tFirst\t17' 2\"\t13' 6 1/2\"\t9'\tDrywall\t6\t\tby the stairs")
    (visit,) = room.measurement_sets.all()
    assert (visit.kind, visit.entered_by) == ("plan", house.lead)
    sizes = {reading.subject: reading.value for reading in visit.readings.all()}
    assert sizes == {"door": inches(206), "left": inches("162 1/2"), "height": feet(9)}  # 17×12+2, 13×12+6 1/2
    assert (room.level, room.note, room.stage) == ("First", "by the stairs", 1)
    (count,) = room.counts.all()
    assert (count.count, count.fixture_type) == (6, house.light)
    by_hand = add_room(house.job, name="By hand")
    told = [(layer.surface, layer.position, layer.name, layer.thickness) for layer in by_hand.layers.all()]
    assert [(layer.surface, layer.position, layer.name, layer.thickness) for layer in room.layers.all()] == told


def test_a_name_alone_is_a_room_nobody_sized(house):
    (room,) = paste(house, "Pantry")
    assert room.stage == 0 and not room.measurement_sets.exists() and not room.counts.exists()


@pytest.mark.parametrize(
    ("row", "label", "words"),
    [
        ("Den\t\t17 paces\t13'", "Left to right", "paces"),
        ("Den\t\t17'", "Door to far wall", "Give both, or neither"),
        ("Den\t\t900'\t13'", "Left to right", "over the most allowed"),
        ("Den\t\t\t\t\tMarble", "Ceiling", "No ceiling is called “Marble”"),
        ("Den\t\t\t\t\t\t-2", "Lights", "Too little"),
        ("\t1", "Room", "needed"),
        ("Hall", "Room", "Give a different name"),
        ("Den\t1\t\t\t\t\t\t\tnote\tmore", "", "more in this row than there are columns"),
    ],
)
def test_each_wrong_cell_is_named_with_its_row_and_the_way_out(house, row, label, words):
    add_room(house.job, name="Hall")
    rows = read(house, f"Attic\n{row}")
    assert rows[0].errors == [] and rows[1].number == 2
    assert any(told[0] == label and words in told[1] for told in rows[1].errors), rows[1].errors


def test_two_rows_of_one_name_are_told_and_none_is_entered(house):
    with pytest.raises(NotAllRight):
        paste(house, "Den\nBath\nDen")
    assert not house.job.rooms.exists()


def test_a_name_taken_between_preview_and_entering_stops_all(house):
    rows = read(house, "Den\nBath")
    add_room(house.job, name="Bath")
    with pytest.raises(NotAllRight) as told:
        enter(house.job, rows, kind="plan", by=None)
    assert [bool(row.errors) for row in told.value.rows] == [False, True]
    assert [room.name for room in house.job.rooms.all()] == ["Bath"]


def test_the_name_of_a_room_in_the_trash_is_free(house):
    room = add_room(house.job, name="Den")
    trash_room(room, Room.objects.of(house.shop).get(pk=room.pk).version, by=None)
    assert paste(house, "Den")


def test_three_hundred_rooms_take_few_more_queries_than_three(house):
    with CaptureQueriesContext(connection) as few:
        paste(house, "\n".join(f"A{n}\t1\t10'\t12'" for n in range(3)))
    with CaptureQueriesContext(connection) as many:
        paste(house, "\n".join(f"B{n}\t1\t10'\t12'" for n in range(300)))
    assert len(many) - len(few) < 297 / 10  # SQLite takes so many values at once; PostgreSQL all


# The page


def test_the_page_shows_what_it_understood_before_anything_is_stored(house, client):
    sign_in(client, house.lead)
    address = reverse("paste_rooms", args=[house.job.pk])
    typed = {"text": "Den\t1\t17'\t13'\nBath\t2\t8'\t6'", "kind": "plan"}
    page = client.post(address, typed)
    assert page.status_code == 200 and "2 rooms were understood" in page.content.decode()
    assert not house.job.rooms.exists()
    assert "2 rooms entered" in client.post(address, typed | {"enter": "1"}, follow=True).content.decode()
    again = client.post(address, typed | {"enter": "1"})  # pressed twice
    assert again.status_code == 422 and house.job.rooms.count() == 2


def test_what_is_wrong_is_shown_and_what_was_pasted_is_still_there(house, client):
    sign_in(client, house.lead)
    typed = {"text": "Den\t1\t17'", "kind": "plan", "enter": "1"}
    page = client.post(reverse("paste_rooms", args=[house.job.pk]), typed)
    told = page.content.decode()
    assert page.status_code == 422 and "1 row of 1 can't be entered" in told
    assert "Den\t1\t17&#x27;" in told and not house.job.rooms.exists()


# Long lists


def long_list(house, rows=450, bad=None):
    return "\n".join(f"{n}\t1\t{'x' if n == bad else 10}'\t12'" for n in range(1, rows + 1))


def test_a_long_list_is_entered_as_work_with_its_progress(house, client):
    sign_in(client, house.lead)
    typed = {"text": long_list(house), "kind": "plan", "enter": "1"}
    answer = client.post(reverse("paste_rooms", args=[house.job.pk]), typed)
    work = Work.objects.of(house.shop).get(kind="enter rooms")
    assert answer.url == reverse("work", args=[work.pk])
    work = do_work(work.pk, work.task)
    assert (work.state, work.done, work.total) == (State.DONE, 451, 451)
    assert house.job.rooms.count() == 450


class Progress:
    """What a worker hands to a kind of work; stop: after so many steps it is cancelled, or its worker is gone."""

    def __init__(self, stop=None):
        self.done, self.steps, self.stop = 0, [], stop

    def at(self, done, total):
        self.steps.append((done, total))
        if self.stop is not None and len(self.steps) > self.stop:
            raise KeyboardInterrupt


class Asked:
    def __init__(self, found):
        self.shop, self.asked_for = found.shop, {"list_id": found.pk, "job_id": found.job_id}


def test_stopped_half_way_it_leaves_nothing_and_begun_again_it_enters_all_once(house):
    found = RoomListFactory(job=house.job, text=long_list(house), by=house.lead)
    with pytest.raises(KeyboardInterrupt):
        enter_rooms(Asked(found), Progress(stop=2))
    assert not house.job.rooms.exists()
    enter_rooms(Asked(found), Progress())
    enter_rooms(Asked(found), Progress())  # its worker was killed after the rooms were made, before it said so
    assert house.job.rooms.count() == 450


def test_one_wrong_row_of_a_long_list_stops_all_of_it_and_is_named(house):
    found = RoomListFactory(job=house.job, text=long_list(house, bad=320), by=house.lead)
    with pytest.raises(WorkFailed, match=r"Row 320: Left to right .*No room was made"):
        enter_rooms(Asked(found), Progress())
    assert not house.job.rooms.exists()
    found.refresh_from_db()
    assert found.entered_at is None
