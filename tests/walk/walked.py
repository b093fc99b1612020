"""Two houses with a person of each role, every address in them, and each page as a person first got it.

What walks the pages stands in files of its own, so that several are walked at once.
"""


import io
import re
from dataclasses import dataclass

import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from django.http import HttpResponse, QueryDict
from django.test import Client
from django.urls import URLPattern, get_resolver, reverse
from PIL import Image
from pypdf import PdfReader

from projects.accounts.models import Membership
from projects.catalogue.tables import takeoff_table
from projects.photos.services import keep_pixels
from projects.platform.permissions import ANYONE, ROUTES, SIGNED_IN, Role
from reports.changes import photos
from reports.close_out import made
from reports.days.services import make_feed
from reports.takeoffs.services import freeze, save_rules
from tests.conftest import standing
from tests.factories import (
    CircuitFactory,
    ClientAnswerFactory,
    ControlTypeFactory,
    CorrectionFactory,
    CrewDayFactory,
    EntryKeptFactory,
    FieldExtraFactory,
    ItemFactory,
    JoinCodeFactory,
    JoinedFactory,
    LeftoverFactory,
    LightTargetFactory,
    MovementFactory,
    OrderLineFactory,
    PassFactory,
    PhoneFactory,
    PhotometricFileFactory,
    PickLineFactory,
    PieceFactory,
    PriceImportFactory,
    PunchItemFactory,
    ReelFactory,
    SavedViewFactory,
    ShopFactory,
    ThingFactory,
    TypedLineFactory,
    WarrantyFactory,
    WorkFactory,
    packet_on_file,
    taken_out_on_file,
    told_to,
)
from tests.shops import bids_of, fresh, issue, people_of, practice_room, ways_in
from tests.untouched import nothing_changes, taken_back

ABSENT = 987_654
PRINT_PACKET = made.job_packet
OTHER_VERBS = ("PUT", "PATCH", "DELETE", "TRACE", "FROB")


def walk(patterns, names=()):
    for pattern in patterns:
        if isinstance(pattern, URLPattern):
            yield ":".join((*names, pattern.name or str(pattern.pattern))), tuple(pattern.pattern.converters)
        elif names or pattern.namespace != "api":
            yield from walk(pattern.url_patterns, (*names, pattern.namespace) if pattern.namespace else names)


PAGES = dict(walk(get_resolver().url_patterns))
NO_IDS = (
    (), ("reset",), ("invitation",), ("token",), ("link",), ("approval",), ("feed",), ("figure_name",),
    ("problem_slug",),
)  # fmt: skip
WITH_IDS = [name for name, wanted in PAGES.items() if wanted not in NO_IDS]
INSIDE = [name for name in PAGES if ROUTES[name].read not in (ANYONE, SIGNED_IN) and ROUTES[name].write != SIGNED_IN]


def ordered_and_picked(room):
    """A line on order and a line of a pick list."""
    return OrderLineFactory(order__job=room.job), PickLineFactory(pick_list__room=room)


class House:
    """A shop with a person of each role, and ids that stand for every part of an address."""

    def __init__(self):
        self.pages = {}  # as each person first got them
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        self.room = practice_room(self.shop)
        ThingFactory(ceiling__room=self.room)
        self.room = fresh(self.room)
        self.revision = issue(self.room, by=self.people[Role.OWNER])
        extra = FieldExtraFactory(job=self.room.job, room=self.room)
        self.ids = {
            "job_id": self.room.job_id,
            "room_id": self.room.pk,
            "number": self.revision.number,
            "type_id": self.revision.marks.first().fixture_type_id,
            "member_id": self.people[Role.CREW].pk,
            "token": self.revision.token,
            "mark": "A1",
            "control_id": ControlTypeFactory(shop=self.shop).pk,
            "target_key": LightTargetFactory(shop=self.shop).key,
            "file_id": PhotometricFileFactory(shop=self.shop).pk,
            "circuit_id": CircuitFactory(job=self.room.job).pk,
            "item_id": ItemFactory(shop=self.shop).pk,
            "import_id": PriceImportFactory(shop=self.shop).pk,
            "place": 1,
            "figure_name": "box.fill",
            "problem_slug": "stale",
            "work_id": WorkFactory(shop=self.shop).pk,
            "change_id": TypedLineFactory(change__job=self.room.job).change_id,
            "extra_id": extra.pk,
            "pass_id": PassFactory(event__room=self.room).pk,
            "photo_id": photos.keep(extra, Image.new("RGB", (8, 6))).pk,
            "packet_id": packet_on_file(self.room.job).pk,
            "warranty_id": WarrantyFactory(job=self.room.job).pk,
            "shot_id": keep_pixels(self.room, Image.new("RGB", (8, 6)), by=None).pk,
            "punch_id": PunchItemFactory(room=self.room).pk,
            **told_to(self.shop),
            "taken": freeze(self.room.job, by=None).number,
            "version_id": save_rules(self.shop, takeoff_table(), seen=0, why="Ours.", by=None).pk,
            "form": "csv",
            "entry_id": EntryKeptFactory(room=self.room, member=self.people[Role.CREW]).pk,
            "phone_id": PhoneFactory(member=self.people[Role.CREW]).pk,
            "reel_id": ReelFactory(shop=self.shop).pk,
            "view_id": SavedViewFactory(member=self.people[Role.OWNER]).pk,
            "code_id": JoinCodeFactory(job=self.room.job).pk,
            "day_id": CrewDayFactory(room=self.room).pk,
            "feed": make_feed(self.people[Role.OWNER])[1],
            "joined_id": JoinedFactory(job=self.room.job).pk,
            "table": "jobs_room",
            "record_id": self.room.pk,
        }

        taken_out_on_file(self.shop)
        order, picked = ordered_and_picked(self.room)
        self.ids |= {
            "order_number": order.order.number,
            "line_id": order.pk,
            "leftover_id": LeftoverFactory(shop=self.shop).pk,
            "movement_id": MovementFactory(job=self.room.job).pk,
            "pick_number": picked.pick_list.number,
        }
        asked = CorrectionFactory(result__visit__job=self.room.job, result__room=self.room)
        self.ids |= {"correction_id": asked.pk, "visit_id": asked.result.visit_id}
        said = ClientAnswerFactory(link__revision=self.revision, says="yes", name="A. Client")
        self.ids |= {"answer_id": said.pk, "approval_id": said.link_id, "approval": said.link.token}
        self.ids |= {"piece_id": PieceFactory(room=self.room).pk} | ways_in(self.people)
        sent, draft = bids_of(self.room.job, self.people[Role.OWNER])
        self.ids |= {
            "bid_id": draft.bid_id,
            "bid_revision_id": draft.pk,
            "bid_line_id": draft.lines.first().pk,
            "link": sent.links.get().token,
        }

    def address(self, name, **other):
        return reverse(name, kwargs={key: (self.ids | other)[key] for key in PAGES[name]})


house_standing = standing(House)
neighbor_standing = standing(House)


@pytest.fixture
def house(house_standing, neighbor_standing, db):
    """Tests change what is stored, which is rolled back, never the house itself."""
    return house_standing


@pytest.fixture
def neighbor(neighbor_standing, db):
    return neighbor_standing


@pytest.fixture
def owner(house):
    """One who may do all there is."""
    member = house.people[Role.OWNER]
    Membership.objects.filter(pk=member.pk).update(may_approve=True, may_move_marks=True)
    return as_person(member.user)


@pytest.fixture(autouse=True)
def packets_unprinted(monkeypatch):
    """A packet is printed once, where its words are read; elsewhere its address alone is walked."""
    monkeypatch.setattr(made, "job_packet", lambda *args, **kwargs: b"%PDF-")


SIGNED_IN_AS = {}


def as_person(user):
    """Signing in is most of a small page's work: a session that was written once is written again as it was."""
    client = Client()
    signed = user.pk, user.password  # the next file's people may have the same numbers
    if signed not in SIGNED_IN_AS:
        with taken_back():
            client.force_login(user)
            session = Session.objects.get(pk=client.session.session_key)
        SIGNED_IN_AS[signed] = session
    session = SIGNED_IN_AS[signed]
    Session.objects.bulk_create([session], ignore_conflicts=True)
    client.cookies[settings.SESSION_COOKIE_NAME] = session.session_key
    return client


def go(client, method, address, **data):
    if method in ("GET", "POST"):
        return getattr(client, method.lower())(address, data)
    return client.generic(method, address)


@dataclass
class Seen:
    """A page as a person got it; what it left changed, in words, and which words of its address it asked for."""

    answer: HttpResponse
    changed: str
    asked: set


@pytest.fixture
def seen(house, monkeypatch):
    """seen(name, role): the page as the role first got it, in the house as it stands; the owner asks by HEAD too."""

    def look(name, role):
        if (name, role) not in house.pages:
            house.pages[name, role] = read(name, role, as_person(house.people[role].user))
        return house.pages[name, role]

    def read(name, role, client):
        asked, get = set(), QueryDict.__getitem__

        def noting(self, key):
            asked.add(key)
            return get(self, key)

        def listing(self, key, default=None):
            asked.add(key)
            return super(QueryDict, self).getlist(key, default)

        with monkeypatch.context() as patched:
            patched.setattr(QueryDict, "__getitem__", noting)
            patched.setattr(QueryDict, "getlist", listing)
            changed = ""
            try:
                with nothing_changes():
                    answer = go(client, "GET", house.address(name))
                    head = go(client, "HEAD", house.address(name)) if role == Role.OWNER else answer
            except AssertionError as found:
                changed = str(found)
        assert head.status_code == answer.status_code
        answer.context = answer.templates = None  # nobody asks for them, and they would be kept to the end
        return Seen(answer, changed, asked)

    return look


def body(response):
    """Without the anti-forgery token, which differs from answer to answer."""
    return re.sub(rb'name="csrfmiddlewaretoken" value="[^"]+"', b"", response.content)


def words(response):
    if response.streaming:  # a photo
        return ""
    if response["Content-Type"] == "application/pdf":
        return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(response.content)).pages)
    if response["Content-Type"] == "image/vnd.dxf":  # its variables are named with a dollar sign: $INSUNITS
        return re.sub(r"^\$[A-Z0-9]+\r?$", "", response.content.decode(), flags=re.MULTILINE)
    return re.sub(r"<script.*?</script>", "", response.content.decode(), flags=re.DOTALL)
