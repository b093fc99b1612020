"""Handing a job over: one sheet says which mark stands where, from which corner, by whose card, and what is open."""

import datetime as dt
import io

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from layout.as_built.services import record
from layout.engine.lengths import inches
from projects.jobs.models import Room
from projects.platform.permissions import Role
from reports.days.handover import handover_of
from reports.services import log_copy
from tests.as_built.rooms import crew, marked_room
from tests.conftest import own_copy, standing
from tests.factories import CorrectionFactory, CrewDayFactory, MemberFactory, RoomFactory
from tests.shops import fresh, issue

pytestmark = pytest.mark.django_db
TODAY = timezone.localdate()

room_standing = standing(marked_room)


@pytest.fixture
def room(room_standing, db):
    """Lights A1 to A4 at 30 in, B1 to B4 or A5 to A8 at 90; the job lets a crew move a line 3 in along the joists."""
    return own_copy(room_standing)


@pytest.fixture
def hand(room):
    return crew(room)


def sheet(room):
    (told,) = handover_of(room.job, TODAY).rooms
    return told


def test_each_mark_is_told_at_the_furthest_step_it_stands_at(room, hand):
    for ident in ("A1", "A2", "A3"):
        record(room, ident, step="floor", by=hand)
    for step in ("framing", "roughed", "cut"):
        record(room, "A1", step=step, by=hand)
    record(room, "A2", step="framing", by=hand)
    told = sheet(room)
    assert told.steps == [("cut", "A1"), ("on the framing", "A2"), ("on the floor", "A3")]
    assert told.marks == 8
    assert "A4" in told.not_begun and "A1" not in told.not_begun


def test_what_an_inspector_wants_put_right_is_counted_as_one_counts(room):
    first = CorrectionFactory(result__visit__job=room.job, result__room=room)
    (asked,) = [line for line in sheet(room).questions if "did not pass" in line]
    assert asked.endswith("1 correction without an answer")
    CorrectionFactory(result=first.result)
    (asked,) = [line for line in sheet(room).questions if "did not pass" in line]
    assert asked.endswith("2 corrections without an answer")


def test_the_zero_corner_is_the_issued_layouts_not_one_turned_since(room):
    """Back to the door, facing in: it was the left corner of the door wall when the card was made."""
    assert sheet(room).zero == "door wall, left corner; back to the door, facing in"
    Room.objects.of(room.shop).filter(pk=room.pk).update(zero_x="right")
    assert sheet(room).zero == "door wall, left corner; back to the door, facing in"


def test_who_has_which_card_and_whether_it_is_old(room):
    revision = room.revisions.get()
    log_copy(revision, how="printed", held_by="Abel", datum="framing")
    log_copy(revision, how="printed", held_by="Wilma", datum="framing")
    issue(fresh(room))
    log_copy(room.revisions.get(number=2), how="printed", held_by="Abel", datum="framing")
    held = [(card.by, card.revision, card.stale) for card in sheet(room).held]
    assert held == [("Abel", 2, False), ("Wilma", 1, True)]


def test_a_move_beyond_the_crews_limit_is_an_open_question(room, hand):
    record(room, "A1", step="floor", across=inches(38), reason="duct", words="duct at the beam", by=hand)
    (question,) = [words for words in sheet(room).questions if "A1" in words]
    assert "waits for a yes" in question


def test_a_room_that_is_held_up_says_why_and_for_whom(room):
    Room.objects.of(room.shop).filter(pk=room.pk).update(
        held_up="blocked", held_up_why="sprinkler main", held_up_since=timezone.now(), waits_for="fire contractor"
    )
    assert sheet(room).questions == ["blocked by another trade: sprinkler main", "Waits for: fire contractor"]


def test_the_week_aheads_crew_stands_beside_its_room(room, hand):
    CrewDayFactory(room=room, member=hand, on=TODAY + dt.timedelta(1))
    anywhere = MemberFactory(shop=room.shop, role=Role.CREW.value)
    CrewDayFactory(job=room.job, shop=room.shop, room=None, member=anywhere, on=TODAY)
    told = handover_of(room.job, TODAY)
    assert told.rooms[0].crew == [str(hand.user)]
    assert told.anywhere == [str(anywhere.user)]


def test_a_room_without_a_layout_is_on_the_sheet_too_and_a_cancelled_one_is_not(room):
    RoomFactory(job=room.job, name="Bare")
    RoomFactory(job=room.job, name="Gone", cancelled=True)
    assert {told.name: told.revision for told in handover_of(room.job, TODAY).rooms} == {"Bare": None, "Snug": 1}


def test_the_paper_says_what_the_page_says(client, room, hand):
    record(room, "A1", step="cut", by=hand)
    log_copy(room.revisions.get(), how="printed", held_by="Abel", datum="framing")
    client.force_login(hand.user)
    page = reverse("handover", args=[room.job_id])
    assert "rev 1, Abel" in client.get(page).content.decode()
    paper = client.get(page, {"paper": "letter"})
    text = " ".join(one.extract_text() for one in PdfReader(io.BytesIO(paper.content)).pages)
    for words in ("Handover sheet", "Snug", "door wall, left corner", "cut: A1", "rev 1, Abel", "Taken over by"):
        assert words in " ".join(text.split()), words


def test_twenty_rooms_are_read_in_as_many_queries_as_one(room):
    def count():
        with CaptureQueriesContext(connection) as asked:
            handover_of(room.job, TODAY)
        return len(asked)

    count()  # the job learns its shop once
    one = count()
    for bare in RoomFactory.create_batch(19, job=room.job):
        CrewDayFactory(room=bare, on=TODAY)
    assert count() == one
