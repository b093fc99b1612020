"""Which light is on which switch: lettered in a table or several at once, suggested, put back, and issued with it."""

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from layout.engine.pins import Line, Pin
from layout.engine.switching import Switched
from layout.models import Draft, SwitchedLight
from layout.offers.taking import take_way
from layout.services import draft_of, thawed
from layout.switching.services import set_switches
from projects.jobs.services import change_room, copy_room
from projects.platform.permissions import Role
from tests.factories import ShopFactory
from tests.shops import fresh, issue, on_page, people_of, practice_room, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    """Two rows of three lights, with speakers between."""
    return practice_room(ShopFactory())


@pytest.fixture
def lead(client, room):
    return sign_in(client, people_of(room.shop)[Role.CREW_LEAD])


def letters_of(room):
    return {(one.row, one.number): one.zone for one in draft_of(fresh(room)).switched()}


def keep(client, room, **more):
    address = reverse("switches", args=[room.pk])
    return client.post(address, {**on_page(client.get(address), "to"), **more})


def switch(room, *switched):
    draft = draft_of(fresh(room))
    return set_switches(draft, draft.version, [Switched(*one) for one in switched])


def test_a_letter_beside_a_light_puts_it_on_that_switch(lead, room):
    assert keep(lead, room, **{"light-1-2": "b"}).status_code == 302
    assert letters_of(room) == {(1, 2): "B"}
    page = lead.get(reverse("switches", args=[room.pk])).content.decode()
    assert "A: 5 lights" in page and "B: 1 light" in page and 'id="plan-mark-B1"' in page


def test_several_ticked_lights_go_together(lead, room):
    keep(lead, room, ticked=["light-1-1", "light-2-3"], to="C", put="1")
    assert letters_of(room) == {(1, 1): "C", (2, 3): "C"}


def test_what_is_no_letter_is_refused_and_kept_in_its_box(lead, room):
    answer = keep(lead, room, **{"light-1-2": "4"})
    assert answer.status_code == 422
    assert "A zone is one letter, A to Z." in answer.content.decode() and 'value="4"' in answer.content.decode()
    assert letters_of(room) == {}


def test_pressing_put_with_nothing_ticked_says_what_to_do(lead, room):
    assert "No light is ticked" in keep(lead, room, to="B", put="1").content.decode()


def test_a_suggestion_is_taken_and_put_back_with_one_press_each(lead, room):
    Draft.objects.of(room.shop).filter(room=room).update(rows=3, row_setback=inches(12))
    keep(lead, room, **{"light-2-1": "D"})
    page = lead.get(reverse("switches", args=[room.pk]))
    assert "outer row, by the wall" in page.content.decode()
    lead.post(
        reverse("take_switches", args=[room.pk]),
        {"version": page.context["draft"].version},
    )
    assert set(letters_of(room)) == {(row, n) for row in (1, 3) for n in (1, 2, 3)}
    for stands in ({(2, 1): "D"}, None):
        version = draft_of(fresh(room)).version
        lead.post(reverse("put_back_switches", args=[room.pk]), {"version": version})
        assert letters_of(room) == stands if stands else len(letters_of(room)) == 6


def test_a_row_held_for_a_counter_is_suggested_as_the_tasks_switch(lead, room):
    """Held as the page of tasks holds it; one row at a wall is told apart from one over a task."""
    for row, kind in ((1, "task_counter"), (2, "task_accent")):
        draft = draft_of(fresh(room))
        pins = (*draft.held()[0], Pin(Line.ROW, row, inches(18 if row == 1 else 59)))
        take_way(draft, draft.version, {"pins": pins}, kind=kind, words="held", cost="", reason="counter", by=None)
    page = lead.get(reverse("switches", args=[room.pk])).context["page"]
    assert {one.row: one.purpose for one in page.lights} == {1: "Task", 2: "Accent"}
    Draft.objects.of(room.shop).filter(room=room).update(rows=3, row_setback=inches(12))
    page = lead.get(reverse("switches", args=[room.pk])).context["page"]
    assert {one.row: one.purpose for one in page.lights} == {1: "Task", 2: "Accent", 3: "General"}


def test_somebody_elses_save_is_not_gone_over_unseen(lead, room):
    address = reverse("switches", args=[room.pk])
    boxes = on_page(lead.get(address), "to")
    switch(room, (2, 2, "E"))
    answer = lead.post(address, boxes | {"light-1-1": "B"})
    assert answer.status_code == 409 and letters_of(room) == {(2, 2): "E"}


def test_a_viewer_reads_the_letters_and_sets_none(client, room):
    sign_in(client, people_of(room.shop)[Role.VIEWER])
    address = reverse("switches", args=[room.pk])
    assert "light-1-1" not in client.get(address).content.decode()
    assert client.post(address, {"light-1-1": "B"}).status_code == 403


def test_a_letter_for_a_light_that_is_gone_is_told_until_somebody_forgets_it(lead, room):
    switch(room, (1, 1, "B"), (9, 1, "C"))
    assert "Light 1 of row 9 was put on switch C" in lead.get(reverse("switches", args=[room.pk])).content.decode()
    keep(lead, room)
    assert letters_of(room)[9, 1] == "C"
    keep(lead, room, forget="1")
    assert letters_of(room) == {(1, 1): "B"}


def test_a_revision_keeps_its_switches_whatever_is_said_after(room):
    first = issue(room)
    switch(room, (1, 1, "B"))
    second = issue(room)
    switch(room)
    assert [mark.ident for mark in first.marks.all()][:3] == ["A1", "A2", "A3"]
    assert [(mark.ident, mark.zone) for mark in second.marks.all()][:3] == [("B1", "B"), ("A1", "A"), ("A2", "A")]
    assert [mark.id for mark in thawed(second).arrangement.marks][:2] == ["B1", "A1"]
    assert '"switched"' not in first.inputs and first.digest != second.digest
    assert thawed(first).inputs.switched == ()


def test_a_copied_room_has_the_same_switches(room):
    switch(room, (1, 1, "B"), (2, 3, "C"))
    (twin,) = copy_room(fresh(room), 1)
    assert letters_of(twin) == {(1, 1): "B", (2, 3): "C"}


@pytest.mark.parametrize(
    ("turned", "stands"),
    [
        ({"zero_x": "right"}, {(1, 3): "B", (2, 1): "C"}),
        ({"zero_y": "far"}, {(2, 1): "B", (1, 3): "C"}),
        ({"zero_x": "right", "zero_y": "far"}, {(2, 3): "B", (1, 1): "C"}),
    ],
)
def test_turned_to_another_corner_each_light_stays_on_its_switch(room, turned, stands):
    """By hand: two rows of three, B at the zero corner, C across from it."""
    switch(room, (1, 1, "B"), (2, 3, "C"))
    change_room(fresh(room), fresh(room).version, turned)
    assert letters_of(room) == stands


def test_the_page_asks_the_database_a_fixed_number_of_questions(lead, room, django_assert_max_num_queries):
    with django_assert_max_num_queries(28):
        lead.get(reverse("switches", args=[room.pk]))
    draft = draft_of(fresh(room))
    SwitchedLight.objects.bulk_create(
        SwitchedLight(draft=draft, row=r, number=n, zone="B") for r in range(1, 30) for n in (1, 2)
    )
    with django_assert_max_num_queries(28):
        lead.get(reverse("switches", args=[room.pk]))
