"""Every address of the product, walked by everyone: who gets in, who doesn't, and that nothing leaks or moves.

The routes come from the URL resolver and the right to them from the permission table, so a page added without a row
fails here. The table itself is held against the README's sentences at the end. The API walks itself.

Every test finds the same two houses, so a page is rendered once for a person and looked at by all tests: `seen`.
"""

import io
import re
from dataclasses import dataclass

import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from django.core.exceptions import ImproperlyConfigured
from django.http import HttpResponse, QueryDict
from django.test import Client
from django.urls import URLPattern, get_resolver, path, reverse
from PIL import Image
from pypdf import PdfReader

from layout.models import Draft
from projects.accounts.models import Membership
from projects.catalogue.tables import takeoff_table
from projects.photos.services import keep_pixels
from projects.platform.door import SHOP_KEY
from projects.platform.permissions import ACTIONS, ANYONE, PERSONAL, ROUTES, SIGNED_IN, Role, may
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
    MemberFactory,
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
    UserFactory,
    WarrantyFactory,
    WorkFactory,
    packet_on_file,
)
from tests.shops import bids_of, forms_of, fresh, issue, people_of, practice_room
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
NO_IDS = ((), ("token",), ("link",), ("approval",), ("feed",), ("figure_name",))
WITH_IDS = [name for name, wanted in PAGES.items() if wanted not in NO_IDS]
INSIDE = [name for name in PAGES if ROUTES[name].read not in (ANYONE, SIGNED_IN) and ROUTES[name].write != SIGNED_IN]


def ordered_and_picked(room):
    """A line on order and a line of a pick list."""
    return OrderLineFactory(order__job=room.job), PickLineFactory(pick_list__room=room)


class House:
    """A shop with a person of each role, and ids that stand for every part of an address."""

    def __init__(self):
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
            "work_id": WorkFactory(shop=self.shop).pk,
            "change_id": TypedLineFactory(change__job=self.room.job).change_id,
            "extra_id": extra.pk,
            "pass_id": PassFactory(event__room=self.room).pk,
            "photo_id": photos.keep(extra, Image.new("RGB", (8, 6))).pk,
            "packet_id": packet_on_file(self.room.job).pk,
            "warranty_id": WarrantyFactory(job=self.room.job).pk,
            "shot_id": keep_pixels(self.room, Image.new("RGB", (8, 6)), by=None).pk,
            "punch_id": PunchItemFactory(room=self.room).pk,
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
        }

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
        self.ids |= {"piece_id": PieceFactory(room=self.room).pk}
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
    if user.pk not in SIGNED_IN_AS:
        with taken_back():
            client.force_login(user)
            session = Session.objects.get(pk=client.session.session_key)
        SIGNED_IN_AS[user.pk] = session
    session = SIGNED_IN_AS[user.pk]
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


SEEN = {}


@pytest.fixture
def seen(house, monkeypatch):
    """seen(name, role): the page as the role first got it, in the house as it stands; the owner asks by HEAD too."""

    def look(name, role):
        if (name, role) not in SEEN:
            SEEN[name, role] = read(name, role, as_person(house.people[role].user))
        return SEEN[name, role]

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


def test_every_page_has_a_row_in_the_table():
    assert {"home", "room", "job_packet", "check_card"} <= set(PAGES), "the walk found too little"
    assert [name for name in PAGES if name not in ROUTES] == []


def test_a_page_without_a_row_answers_nobody(settings, house):
    """Not even the owner: leaving a row out closes a page, it does not open it."""

    class Urls:
        urlpatterns = [path("loose/", lambda request: pytest.fail("the page ran"), name="loose")]

    settings.ROOT_URLCONF = Urls
    with pytest.raises(ImproperlyConfigured, match="loose"):
        as_person(house.people[Role.OWNER].user).get("/loose/")


# Who gets in


def all_but(statement, names):
    """The names and methods for which a statement does not hold."""
    return [(name, method) for name in names for method in ("GET", "POST") if not statement(name, method)]


def test_without_signing_in_one_is_asked_to(house):
    def asked(name, method):
        action = ROUTES[name].action(method)
        with taken_back():
            answer = go(Client(), method, house.address(name))
        if action is None:
            return answer.status_code == 405
        if action == ANYONE:
            newest = answer.status_code == 302 and answer.url == house.address("check_card")  # nothing changed since
            return answer.status_code in (200, 422) or newest
        return answer.status_code == 302 and answer.url.startswith("/sign-in/?next=")

    assert all_but(asked, PAGES) == []


def test_signed_in_without_a_shop_one_chooses_first(house):
    client = as_person(UserFactory())

    def chooses(name, method):
        answer = go(client, method, house.address(name))
        if ROUTES[name].action(method) is None:
            return answer.status_code == 405
        return (answer.status_code, answer.url) == (302, "/shops/")

    assert all_but(chooses, INSIDE) == []


def test_one_who_no_longer_works_here_is_out_at_the_next_page(house):
    member = house.people[Role.OWNER]

    def out(name, method):
        with taken_back():
            client = as_person(member.user)
            Membership.objects.filter(pk=member.pk).update(active=False)
            return go(client, method, house.address(name)).status_code in (302, 405)

    assert all_but(out, INSIDE) == []


@pytest.mark.parametrize("name", INSIDE)
def test_each_role_gets_what_the_table_gives_it(house, seen, name):
    for role, member in house.people.items():
        with taken_back():
            answers = {"GET": seen(name, role).answer, "POST": go(as_person(member.user), "POST", house.address(name))}
        for method, answer in answers.items():
            action = ROUTES[name].action(method)
            if action is None:
                assert answer.status_code == 405, (role, method)
            elif may(member, action):
                assert answer.status_code in (200, 302, 422), (role, method)
                assert not (answer.status_code == 302 and answer.url.startswith(("/sign-in/", "/shops/"))), role
            else:
                assert answer.status_code == 403, (role, method)


@pytest.mark.parametrize("role", [Role.CREW, Role.VIEWER])
def test_what_an_owner_gives_to_a_person_is_not_for_crew_and_viewers(house, role):
    """Even when the tick is in the database: the role decides first."""
    member = house.people[role]
    Membership.objects.filter(pk=member.pk).update(may_approve=True, may_move_marks=True)
    assert go(as_person(member.user), "POST", house.address("approve_revision")).status_code == 403


# Another shop's ids


@pytest.mark.parametrize("name", WITH_IDS)
def test_another_shops_id_is_answered_as_one_that_does_not_exist(house, neighbor, owner, name):
    for method in ("GET", "POST"):
        with nothing_changes():
            theirs = go(owner, method, neighbor.address(name))
            nobodys = go(owner, method, house.address(name, **dict.fromkeys(PAGES[name], ABSENT)))
        assert theirs.status_code == nobodys.status_code == (405 if ROUTES[name].action(method) is None else 404)
        assert body(theirs) == body(nobodys)


def answered(client, name, address):
    """How the one method a page surely knows is answered there."""
    return go(client, "GET" if ROUTES[name].read else "POST", address).status_code


def test_a_revision_that_was_never_issued_is_not_here(house, owner):
    numbered = [name for name in WITH_IDS if "number" in PAGES[name]]
    assert [name for name in numbered if answered(owner, name, house.address(name, number=9)) != 404] == []


def test_a_number_no_database_holds_is_not_here_either(house, owner):
    far = {name: house.address(name, **dict.fromkeys(PAGES[name], 10**30)) for name in WITH_IDS}
    assert [name for name in WITH_IDS if answered(owner, name, far[name]) != 404] == []


def test_a_shop_one_does_not_work_in_cannot_be_chosen(house, neighbor):
    client = as_person(house.people[Role.OWNER].user)
    for asked in (neighbor.shop.pk, ABSENT, 10**30, "9" * 5000, "", "x", "²", "-1"):
        assert client.post("/shops/", {"shop": asked}).status_code == 404, asked
    assert SHOP_KEY not in client.session


# What reading and odd verbs must not do


@pytest.mark.parametrize("name", INSIDE)
def test_reading_changes_nothing(seen, name):
    for role in (Role.OWNER, Role.VIEWER):
        assert seen(name, role).changed == "", role


@pytest.mark.parametrize("name", ["room", "room_preview"])
def test_looking_at_a_room_nobody_laid_out_changes_nothing(house, name):
    Draft.objects.of(house.shop).filter(room=house.room).delete()
    client = as_person(house.people[Role.VIEWER].user)
    with nothing_changes():
        assert go(client, "GET", house.address(name)).status_code == 200


def test_a_page_knows_no_other_verb(house, owner):
    with nothing_changes():
        for name in PAGES:
            for method in OTHER_VERBS:
                answer = go(owner, method, house.address(name))
                assert answer.status_code == 405, (name, method)
                assert set(answer["Allow"].replace(" ", "").split(",")) <= {"GET", "HEAD", "POST"}, (name, method)


def test_a_form_without_its_token_is_refused(house):
    client = Client(enforce_csrf_checks=True)
    client.force_login(house.people[Role.OWNER].user)
    with nothing_changes():
        for name in PAGES:
            if ROUTES[name].write:
                assert client.post(house.address(name)).status_code == 403, name


# Prices

MONEY = re.compile(r"\b(price|prices|priced|pricing|cost|costs|markup|margin)\b|[$€£]", re.IGNORECASE)


def words(response):
    if response.streaming:  # a photo
        return ""
    if response["Content-Type"] == "application/pdf":
        return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(response.content)).pages)
    if response["Content-Type"] == "image/vnd.dxf":  # its variables are named with a dollar sign: $INSUNITS
        return re.sub(r"^\$[A-Z0-9]+\r?$", "", response.content.decode(), flags=re.MULTILINE)
    return re.sub(r"<script.*?</script>", "", response.content.decode(), flags=re.DOTALL)


@pytest.mark.parametrize("role", [Role.CREW_LEAD, Role.CREW, Role.VIEWER])
def test_who_may_not_see_prices_reads_no_word_of_money(seen, role):
    for name in INSIDE:
        answer = seen(name, role).answer
        if answer.status_code == 200 and name != "job_packet":
            assert MONEY.findall(words(answer)) == [], name


def test_no_document_on_paper_has_a_word_of_money(house, monkeypatch):
    """Paper is handed on: the packet holds every document of the job."""
    monkeypatch.setattr(made, "job_packet", PRINT_PACKET)
    client = as_person(house.people[Role.OWNER].user)
    packet = words(client.get(house.address("job_packet")))
    assert "Snug" in packet and "Rough-in checklist" in packet
    assert MONEY.findall(packet) == []


def test_a_card_sent_out_has_no_word_of_money(house):
    for address in (house.address("check_card"), "/sign-in/"):
        assert MONEY.findall(words(Client().get(address))) == []


# The table against the README's own sentences


READ = {"owner", "estimator", "crew_lead", "crew", "viewer"}
README = {
    "read rooms": READ,
    "measure": READ - {"viewer"},
    "print cards": READ - {"viewer"},
    "keep rooms": {"owner", "estimator", "crew_lead"},
    "lay out": {"owner", "estimator", "crew_lead"},
    "move stages": {"owner", "estimator", "crew_lead"},
    "pass guards": {"owner"},
    "answer checklists": READ - {"viewer"},
    "take photos": READ - {"viewer"},
    "mark out": READ - {"viewer"},
    "record inspections": {"owner", "estimator", "crew_lead"},
    "plan crews": {"owner", "estimator", "crew_lead"},
    "join phones": {"owner", "estimator", "crew_lead"},
    "ask clients": {"owner", "estimator"},
    "own settings": READ,
    "verify cutouts": {"owner", "estimator", "crew_lead"},
    "keep jobs": {"owner", "estimator"},
    "keep the catalog": {"owner", "estimator"},
    "run the shop": {"owner"},
    "own token": READ,
    "wire rooms": {"owner", "estimator", "crew_lead"},
    "order material": {"owner", "estimator", "crew_lead"},
    "pull cable": READ - {"viewer"},
    "log hours": READ - {"viewer"},
    "receive material": READ - {"viewer"},
    "write extras": READ - {"viewer"},
    "count takeoffs": {"owner", "estimator"},
    "see prices": {"owner", "estimator"},
    "keep prices": {"owner", "estimator"},
    "bid": {"owner", "estimator"},
    "change contracts": {"owner", "estimator"},
}


def test_the_table_says_what_the_readme_says():
    assert {action: {role.value for role in roles} for action, roles in ACTIONS.items()} == README
    assert set(PERSONAL) == {"approve layouts", "move marks", "quote changes"}


BY_TOKEN = {
    "check_card", "check_changes", "client_link", "calendar_feed", "client_approval", "approval_plan", "approval_copy",
}  # whoever holds the paper or the address
PHONE_SHELL = {"field_worker", "field_hello", "field_no_signal", "field_cannot_tell", "field_waiting"}  # nobody's data


def test_only_these_pages_are_open_to_anyone():
    opened = {name for name, route in ROUTES.items() if ANYONE in (route.read, route.write)}
    assert opened <= {"sign_in", "alive", "join"} | BY_TOKEN | PHONE_SHELL


@pytest.mark.parametrize("role", [Role.OWNER, Role.ESTIMATOR, Role.CREW_LEAD])
def test_approving_is_given_to_a_person_by_the_owner(db, role):
    member = MemberFactory(role=role.value)
    assert not may(member, "approve layouts")
    member.may_approve = True
    assert may(member, "approve layouts")


# Odd bytes


ODD = ("\x00", "%", "_", "'", "\\", "\ud7ff", "\U0010ffff", "9" * 5000, "-1", "1e9", "²", "٣")


ASKED = ("q", "page", "sort", "view", "stage", "flag", "job", "level", "paper", "style", "text", "shop", "rows")


def not_broken_by_odd_questions(house, owner, asked, name, odds):
    for odd, words_of in odds:
        answer = owner.get(house.address(name), dict.fromkeys((*words_of, *asked), odd))
        assert answer.status_code in (200, 302, 404), odd  # a sheet nobody writes is not here


@pytest.mark.parametrize("name", [name for name in INSIDE if ROUTES[name].read])
def test_no_page_breaks_on_an_odd_question(house, owner, seen, name):
    """All that any page asks of its address with one odd value, what this one asks with three more: others by page."""
    asked = sorted(seen(name, Role.OWNER).asked)
    turn = INSIDE.index(name)
    some = [(ODD[(turn + 4 * step) % len(ODD)], ()) for step in (1, 2, 3) if asked]
    not_broken_by_odd_questions(house, owner, asked, name, [(ODD[turn % len(ODD)], ASKED), *some])


@pytest.mark.long
@pytest.mark.parametrize("name", [name for name in INSIDE if ROUTES[name].read])
def test_no_page_breaks_on_any_odd_question(house, owner, seen, name):
    asked = sorted(seen(name, Role.OWNER).asked)
    not_broken_by_odd_questions(house, owner, asked, name, [(odd, ()) for odd in ODD if asked])


def two_of_a_shape(forms):
    """A list has the same form in each of its lines: two of them stand for the rest."""
    kept = {}
    for boxes in forms:
        shape = frozenset(re.sub(r"\d+", "", box) for box in boxes)
        if len(kept.setdefault(shape, [])) < 2:
            kept[shape].append(boxes)
    return [boxes for alike in kept.values() for boxes in alike]


def oddly_filled(names, turn):
    """A third of the boxes, the rest as they were; then all of them, twice: a value of its own for each, by turns."""
    odd = {box: [ODD[(n + turn + 5 * time) % len(ODD)] for time in range(3)] for n, box in enumerate(names)}
    third = {box: odd[box][0] for box in names[turn % 3 :: 3]}
    return [some for some in (third, *({box: odd[box][time] for box in names} for time in (1, 2))) if some]


@pytest.mark.parametrize("name", [name for name in INSIDE if ROUTES[name].read and ROUTES[name].write])
def test_no_form_breaks_on_an_odd_answer(house, owner, seen, name):
    shown = [boxes for action, boxes in forms_of(seen(name, Role.OWNER).answer) if (action or "")[:1] in ("", "?")]
    assert shown, "the page has no form of its own"
    for boxes in two_of_a_shape(shown):
        names = [box for box in boxes if box != "csrfmiddlewaretoken"]
        for filled in oddly_filled(names, INSIDE.index(name)):
            with taken_back():
                answer = owner.post(house.address(name), boxes | filled)
            assert answer.status_code in (200, 302, 404, 409, 422), filled


def test_a_token_nobody_has_can_not_be_ended(house):
    client = as_person(house.people[Role.VIEWER].user)
    for odd in (*ODD, ABSENT, ""):
        assert client.post(house.address("own_tokens"), {"end": odd}).status_code == 404
