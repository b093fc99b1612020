"""Every word a phone shows is in the catalog: in a language nobody speaks none is left in English.

The shop's own words, as a room's name or a person's, stay as they were entered.
"""

import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import get_resolver
from django.utils import translation
from PIL import Image

from layout.as_built import services as as_built
from layout.as_built.queries import marks_of
from layout.engine.lengths import inches
from projects.photos.services import keep_pixels
from projects.platform.languages import SPANISH
from projects.platform.permissions import ROUTES, Role
from reports.checks import services as checks
from reports.field.pages import PAGES
from reports.field.services import enter
from reports.field.shells import HERE, PARTS
from reports.marking.walk import spoken as aloud
from tests.as_built.rooms import crew, marked_room
from tests.conftest import own_copy, standing
from tests.factories import EntryKeptFactory, ThingFactory
from tests.pseudo import spoken, unsaid
from tests.shops import fresh, issue

NO_PAGE = {"field_keep", "field_hello", "field_worker"}  # answers to scripts
BEFORE_SIGN_IN = ("sign_in", "join", "field_no_signal", "field_cannot_tell", "field_waiting")
# Each language by its own name, keys as they are printed, a date as Spanish writes it, ours.
OWN = {"English", "Español", "Ceilingbook", "Ctrl", "Enter", "Tab", " a las "}


class Site:
    """A room with something of everything the phone shows: two revisions, marks set and moved, answers, photos."""

    def __init__(self):
        self.room = marked_room(verified=False)
        self.lead = crew(self.room, Role.CREW_LEAD)
        self.lead.user.language = SPANISH
        self.lead.user.save()
        ThingFactory(ceiling=self.room.ceiling, what="sprinkler_head", name="Qs")
        self.first = self.room.revisions.get()
        issue(self.room)
        room = self.room = fresh(self.room)
        as_built.record(room, "A1", step="floor", by=self.lead)
        as_built.record(room, "A2", step="floor", along=inches(100), reason="joist", by=self.lead)
        checks.answer(room, 2, "pass", by=self.lead)
        checks.answer(room, 12, "fail", by=self.lead, reason="Qs")
        keep_pixels(room, Image.new("RGB", (80, 60)), by=self.lead, purpose="wall")
        enter(self.lead, room, "measure", {"kind": "framing", "door_1": "228"}, 0, None)
        EntryKeptFactory(room=room, member=self.lead, kind="note", words="Qs", answer={}, data={"text": "Qs"})
        self.own = OWN | {room.name, room.job.name, room.job.number, room.shop.name, "Qs"}
        self.own |= {self.lead.user.name, self.lead.user.email, "6 in light"}


standing_site = standing(Site)


@pytest.fixture
def site(db, standing_site, monkeypatch):
    spoken(monkeypatch)
    return own_copy(standing_site)


def path_of(name, known=None):
    [(path, needed)] = get_resolver().reverse_dict.getlist(name)[0][0]
    return "/" + path % {part: known[part] for part in needed}


def addresses(site):
    """Every page of the phone, and what a card's codes lead to."""
    room, known = site.room, {"room_id": site.room.pk, "mark": "A1", "token": site.first.token}
    names = [name for name, route in ROUTES.items() if name.startswith("field") and route.read and name not in NO_PAGE]
    assert {page.name for page in PAGES.values()} <= set(names)
    for name in [*names, "paper_card", "find_mark", "mark_box", "check_card", "check_changes"]:
        yield path_of(name, known)
    yield from (f"/field/rooms/{room.pk}/mark/?step={step}" for step in ("framing", "roughed", "cut"))
    newest = room.revisions.order_by("-number").first()
    yield f"/check/{newest.token}/"


def test_no_word_of_the_phone_is_outside_the_catalog(site):
    client = Client()
    client.force_login(site.lead.user)
    left = {}
    for address in addresses(site):
        answer = client.get(address, headers={"accept-language": "es"})
        assert answer.status_code == 200, address
        if words := unsaid(answer.content.decode(), site.own):
            left[address] = words
    assert left == {}


def test_what_was_refused_is_said_in_the_readers_language(site):
    client, room = Client(), site.room
    client.force_login(site.lead.user)
    for page, typed in (
        ("measure", {"kind": "framing"}),
        ("measure", {"kind": "framing", "door_1": "1/8", "left_1": "9000'"}),
        ("checks", {"number": "2", "outcome": "fail", "base": "0"}),
        ("mark", {"idents": "A1", "step": "cut", "number": "2"}),
        ("mark", {"ident": "A3", "step": "floor", "number": "2"}),
        ("photos", {}),
    ):
        answer = client.post(f"/field/rooms/{room.pk}/{page}/", typed, follow=True)
        assert unsaid(answer.content.decode(), site.own) == [], page


def test_whoever_is_not_signed_in_yet_reads_it_too(site):
    for name in BEFORE_SIGN_IN:
        answer = Client().get(path_of(name), headers={"accept-language": "es"})
        assert unsaid(answer.content.decode(), OWN) == [], name
    wrong = Client().post("/join/", {"code": "0", "name": ""}, headers={"accept-language": "es"})
    assert unsaid(wrong.content.decode(), OWN) == []


def test_a_script_says_nothing_that_the_page_did_not_give_it():
    """Sentences in quotes: a capital, a small letter, a space, more small letters."""
    sentence = re.compile(r"""["'`][A-Z][a-z]+ [a-z]+[^"'`]*["'`]""")
    parts = [Path(found) for part in PARTS if part.endswith(".js") for found in [_file(part)]]
    parts.append(HERE / "templates" / "field" / "sw.js")
    assert len(parts) > 5
    assert {path.name: sentence.findall(path.read_text()) for path in parts if sentence.search(path.read_text())} == {}


def _file(part):
    return finders.find(part)


def test_spoken_numbers_are_words_of_the_catalog_too(site):
    with translation.override(SPANISH):
        assert not re.search(r"\b(foot|feet|and|half)\b", aloud("3'-6 1/2\""))
    assert marks_of(site.room).revision.number == 2
