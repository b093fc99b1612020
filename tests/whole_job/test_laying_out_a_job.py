"""A job laid out anew as long work: room by room, what can't be laid out named, cut holes left alone, nothing twice."""

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from layout.models import Draft
from layout.whole_job.work import KIND, lay_out_job
from projects.accounts.models import Role
from projects.jobs.models import Room
from projects.work.models import State, Work
from projects.work.running import do_work
from projects.work.services import start
from tests.conftest import standing
from tests.factories import JobFactory, RoomFactory
from tests.shops import build_room, draft_room, issue, people_of, practice_room, sign_in


class House:
    """Three laid out rooms, one of them issued, one roughed in; and one that nobody has taped."""

    def __init__(self):
        self.job = JobFactory()
        self.shop = self.job.shop
        self.people = people_of(self.shop)
        self.lead = self.people[Role.CREW_LEAD]
        self.issued = practice_room(self.shop, job=self.job, name="Issued")
        issue(self.issued, by=self.lead)
        self.fresh, self.cut = (self._like_it(name) for name in ("Fresh", "Cut"))
        Room.objects.of(self.shop).filter(pk=self.cut.pk).update(stage=5)
        self.untaped = RoomFactory(job=self.job, name="Untaped")

    def _like_it(self, name):
        room = build_room(self.job, name=name)
        was = Draft.objects.of(self.shop).first()
        draft_room(room, light_type=was.light_type, speaker_type=was.speaker_type)
        return room


house_standing = standing(House)


@pytest.fixture
def house(house_standing, db):
    return house_standing


def work_of(house, issue=True, **numbers):
    asked = {"job_id": house.job.pk, "numbers": {name: int(inches(text)) for name, text in numbers.items()},
             "issue": issue}  # fmt: skip
    return start(house.shop, KIND, asked, house.lead)


def done(work):
    return do_work(work.pk, work.task)


def revisions(house):
    return {room.name: room.revisions.count() for room in house.job.rooms.all()}


def setbacks(house):
    return {draft.room.name: draft.row_setback for draft in Draft.objects.of(house.shop).select_related("room")}


def test_what_was_never_issued_or_is_behind_is_issued_and_the_rest_left(house):
    work = done(work_of(house))
    assert (work.state, work.done, work.total) == (State.DONE, 3, 3)
    assert revisions(house) == {"Issued": 1, "Fresh": 1, "Cut": 0, "Untaped": 0}
    assert work.outcome["issued"] == 1 and [name for name, _words in work.outcome["told"]] == ["Untaped"]


def test_a_number_given_for_the_job_reaches_every_room_that_is_not_cut(house):
    done(work_of(house, row_setback="20"))
    told = setbacks(house)
    assert (told["Issued"], told["Fresh"], told["Cut"]) == (inches(20), inches(20), inches(18))
    assert revisions(house) == {"Issued": 2, "Fresh": 1, "Cut": 0, "Untaped": 0}


def test_without_issuing_only_the_numbers_change(house):
    done(work_of(house, issue=False, row_setback="20"))
    assert setbacks(house)["Fresh"] == inches(20)
    assert revisions(house) == {"Issued": 1, "Fresh": 0, "Cut": 0, "Untaped": 0}


def test_a_number_that_gives_no_layout_leaves_the_room_as_it_was(house):
    """The snug's ceiling is 77 1/4 in across: rows cannot stand 50 in off both walls."""
    work = done(work_of(house, row_setback="50"))
    assert setbacks(house)["Fresh"] == inches(18) and revisions(house)["Fresh"] == 0
    assert {name for name, _words in work.outcome["told"]} == {"Issued", "Fresh", "Untaped"}


class Steps:
    done = 0

    def __init__(self, stop):
        self.stop = stop

    def at(self, done, total):
        if done == self.stop:
            raise KeyboardInterrupt


def test_its_worker_killed_half_way_no_room_is_issued_twice(house):
    work = work_of(house, row_setback="20")
    with pytest.raises(KeyboardInterrupt):
        lay_out_job(work, Steps(stop=1))
    assert revisions(house)["Issued"] == 2 and revisions(house)["Fresh"] == 0
    again = done(work)
    assert revisions(house) == {"Issued": 2, "Fresh": 1, "Cut": 0, "Untaped": 0}
    assert again.outcome["issued"] == 2


def test_the_page_starts_it_and_tells_what_came_of_it(house, client):
    sign_in(client, house.lead)
    address = reverse("lay_out_job", args=[house.job.pk])
    assert "3 rooms whose holes are not cut" in client.get(address).content.decode()
    assert client.post(address, {}).status_code == 422
    client.post(address, {"row_setback": "20", "issue": "on"})
    work = Work.objects.of(house.shop).get(kind=KIND)
    done(work)
    told = client.get(address).content.decode()
    assert "2 revisions issued" in told and "Untaped" in told
