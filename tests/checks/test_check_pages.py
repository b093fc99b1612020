"""The checklist on the page, on paper and from a phone: what was typed is never lost, and paper shows what was said."""

import io
import json
import re
from secrets import token_hex

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from pypdf import PdfReader

from projects.photos.services import CannotBeDone, take_back
from projects.platform.permissions import Role
from reports import papers
from reports.checks import services
from reports.checks.models import Answer, RoomKnown
from reports.queries import Laid
from tests.conftest import own_copy, standing
from tests.factories import DAY, PhotoFactory, RoomFactory, ShopFactory
from tests.shops import forms_of, issue, people_of, practice_room, sign_in


class House:
    def __init__(self):
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        self.room = practice_room(self.shop)
        self.other = RoomFactory(job=self.room.job, name="Hall")
        self.revision = issue(self.room, by=self.people[Role.OWNER])
        self.page = f"/rooms/{self.room.pk}/checks/"
        self.job_page = f"/jobs/{self.room.job_id}/checks/"


made = standing(House)


@pytest.fixture
def house(made, db, settings, tmp_path):
    settings.VAR_DIR = tmp_path
    return own_copy(made)


@pytest.fixture
def crew(house, client):
    return sign_in(client, house.people[Role.CREW])


def filled(client, address, **said):
    """The page's form of answers as it stands, with i13_outcome="pass" and so on."""
    [form] = [given for _action, given in forms_of(client.get(address)) if "i1-base" in given]
    return client.post(address, form | {name.replace("_", "-"): value for name, value in said.items()})


def current():
    return {answer.number: answer.outcome for answer in Answer.objects.filter(current=True)}


def test_only_what_was_pressed_is_answered(house, crew):
    filled(crew, house.page, i13_outcome="pass", i24_outcome="fail", i24_reason="No plate at the header")
    assert current() == {13: "pass", 24: "fail"}
    filled(crew, house.page, i14_outcome="pass")
    assert Answer.objects.count() == 3


def test_what_can_be_kept_is_kept_and_the_rest_is_still_there_to_be_mended(house, crew):
    answer = filled(crew, house.page, i13_outcome="pass", i14_outcome="fail", i15_reason="Bay 3 is 5 in deep")
    page = answer.content.decode()
    assert answer.status_code == 422 and current() == {13: "pass"}
    assert "a fail needs words" in page and "Bay 3 is 5 in deep" in page
    assert "choose pass, fail or n/a" in page


def test_two_who_answer_one_item_otherwise_are_both_shown_and_the_second_decides(house, crew):
    [form] = [given for _action, given in forms_of(crew.get(house.page)) if "i1-base" in given]
    services.answer(house.room, 13, "pass", by=house.people[Role.CREW_LEAD])
    answer = crew.post(house.page, form | {"i13-outcome": "fail", "i13-reason": "A3 is off"})
    page = answer.content.decode()
    assert answer.status_code == 422 and current() == {13: "pass"}
    assert "Stands now:" in page and "A3 is off" in page
    [again] = [given for _action, given in forms_of(answer) if "i1-base" in given]
    crew.post(house.page, again)
    assert current() == {13: "fail"}


def test_a_page_that_was_open_for_long_does_not_put_its_old_answers_back(house, crew):
    services.answer(house.room, 13, "pass", by=None)
    [form] = [given for _action, given in forms_of(crew.get(house.page)) if "i1-base" in given]
    services.answer(house.room, 13, "fail", by=None, reason="A3 is off", base=1)
    crew.post(house.page, form | {"i14-outcome": "pass"})
    assert current() == {13: "fail", 14: "pass"}


def test_one_press_passes_the_rest_of_a_group_but_offers_no_cautions(house, crew):
    presses = [given for action, given in forms_of(crew.get(house.page)) if action.endswith("/rest/")]
    assert {given["group"] for given in presses} == {"Before", "Layout", "Fixture", "Wiring", "Before cover"}
    for given in presses:
        crew.post(f"{house.page}rest/", given)
    cautions = {3, 5, 7, 9, 18, 20, 24, 28, 32, 33, 34, 35, 37, 38, 45}
    waited_for = {25, 26, 27, 29, 31}
    assert current() and not (cautions | waited_for) & current().keys()


def test_what_the_room_has_changes_what_is_asked_and_a_stale_word_is_shown_beside_it(house, crew):
    assert 'id="item-21"' in crew.get(house.page).content.decode()
    [form] = [given for action, given in forms_of(crew.get(house.page)) if action.endswith("/known/")]
    address = f"{house.page}known/"
    crew.post(address, form | {"fire_rated": "no"})
    assert 'id="item-21"' not in crew.get(house.page).content.decode()
    answer = crew.post(address, form | {"fire_rated": "yes"})
    assert answer.status_code == 409
    assert RoomKnown.objects.of(house.shop).get().fire_rated is False


def test_job_and_floor_are_answered_once_on_the_jobs_page(house, crew):
    filled(crew, house.job_page, i1_outcome="pass", i1_reason="Permit 26-1188", i3_outcome="pass")
    page = crew.get(f"/rooms/{house.other.pk}/checks/").content.decode()
    assert "Permit 26-1188" in page
    assert current() == {1: "pass", 3: "pass"}


def test_a_viewer_reads_and_has_no_boxes(house, client):
    page = sign_in(client, house.people[Role.VIEWER]).get(house.page).content.decode()
    assert 'name="i13-outcome"' not in page and "Keep these answers" not in page


def test_the_page_has_no_word_of_money_and_says_who_decides(house, crew):
    page = crew.get(house.page).content.decode()
    assert "Local code and the licensed trade decide" in page
    assert not re.search(r"\b(price|cost|costs|markup|margin)\b|\$", page.casefold())


# On paper


def test_paper_shows_what_was_answered_by_whom_and_leaves_the_other_boxes_empty(house, crew):
    address = f"/rooms/{house.room.pk}/revisions/{house.revision.number}/checklist/"
    assert ">X<" not in crew.get(address).content.decode()
    by = house.people[Role.CREW_LEAD]
    services.answer(house.room, 13, "pass", by=by)
    services.answer(house.room, 24, "fail", by=by, reason="No plate at the header")
    page = crew.get(address).content.decode()
    assert page.count(">X<") == 2
    assert "2 answered so far: 1 pass, 1 fail, 0 n/a." in page
    assert "No plate at the header (" in page
    assert by.user.name in page
    for hold_point in ("H1", "H2", "H3", "H4"):
        assert hold_point in page


def test_the_printed_run_reads_back_with_each_answer_and_its_hold_points(house):
    by = house.people[Role.CREW_LEAD]
    services.answer(house.room, 13, "n-a", by=by, reason="One light, so no row")
    services.answer(house.room, 24, "fail", by=by, reason="No plate at the header")
    one = Laid(house.room, house.revision)
    printed = PdfReader(io.BytesIO(papers.rough_in_checklist(one, on=DAY).pdf()))
    text = " ".join(" ".join(page.extract_text() for page in printed.pages).split())
    assert "One light, so no row" in text and "FAIL: No plate at the header" in text
    assert text.count(f"({by.user.name}, ") == 2
    assert "H2 Rough-in inspection passed" in text and "H4 Final inspection passed" in text


def test_the_api_tells_the_same_answers(house, crew):
    address = f"/api/v1/rooms/{house.room.pk}/revisions/{house.revision.number}/checklist/"
    assert crew.get(address).json()["answers"] == []
    services.answer(house.room, 24, "fail", by=house.people[Role.CREW], reason="No plate at the header")
    told = crew.get(address).json()
    who = house.people[Role.CREW].user.name
    assert told["answers"] == [{"number": 24, "outcome": "fail", "words": "No plate at the header", "who": who}]
    assert len(told["items"]) == 46


# From a phone


def send(client, room, base=0, **data):
    sent = {"key": token_hex(16), "kind": "check", "room": str(room.pk), "base": str(base), "data": json.dumps(data)}
    return client.post("/field/sync/", sent).json()


def test_a_phones_answer_is_kept_and_another_one_is_shown_with_both_values(house, crew):
    assert send(crew, house.room, number="13", outcome="pass")["outcome"] == "applied"
    assert send(crew, house.room, number="13", outcome="pass")["outcome"] == "applied"
    other = send(crew, house.room, number="13", outcome="fail", reason="A3 is off")
    assert other["outcome"] == "conflict"
    assert "A3 is off" in json.dumps(other)
    assert send(crew, house.room, base=1, number="13", outcome="fail", reason="A3 is off")["outcome"] == "applied"


@pytest.mark.parametrize(
    "data",
    [{}, {"number": "x"}, {"number": "47", "outcome": "pass"}, {"number": "13"}, {"number": "13", "outcome": "fail"}],
)
def test_an_answer_that_cannot_be_taken_is_refused_in_words(house, crew, data):
    told = send(crew, house.room, **data)
    assert told["outcome"] == "refused" and told["words"]


def test_the_phones_page_works_as_a_plain_post(house, crew):
    address = f"/field/rooms/{house.room.pk}/checks/"
    assert "No phone on the ladder" in crew.get(address).content.decode()
    wrong = crew.post(address, {"number": "13", "outcome": "fail", "reason": "", "base": "0"})
    assert wrong.status_code == 422
    crew.post(address, {"number": "13", "outcome": "n-a", "reason": "One light, no row", "base": "0"})
    assert current() == {13: "n-a"}


def test_a_file_that_is_no_picture_is_refused_and_nothing_is_answered(house, crew):
    with SimpleUploadedFile("me.jpg", b"no picture") as bad:
        answer = filled(crew, house.page, i13_outcome="pass", i13_photo=bad)
    assert answer.status_code == 422 and current() == {}


def test_a_photo_that_an_answer_stands_on_is_not_taken_back(house):
    photo = PhotoFactory(room=house.room)
    services.answer(house.room, 13, "pass", by=None, photo=photo)
    with pytest.raises(CannotBeDone, match="item 13"):
        take_back(photo, house.people[Role.CREW])
