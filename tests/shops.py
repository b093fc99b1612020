"""A shop as page tests need it: a person of each role, and one room taped, built up and laid out through the services.

The room is summed by hand in tests/layout/test_issue_revision.py. What a page's form would send is read off the page
itself, so that a box the page leaves out is missing here as it is in a browser. No expectation stands here.
"""

from decimal import Decimal
from html.parser import HTMLParser

from layout.engine.lengths import inches
from layout.models import Draft
from layout.services import issue_revision
from projects.doors.links import invitation_path, reset_path
from projects.jobs import services
from projects.jobs.queries import room_of
from projects.platform.permissions import Role
from reports.bids import services as bids
from reports.bids.contents import draft_contents
from reports.bids.ground import base_for
from reports.bids.queries import lines_of, revision_of
from reports.estimating.kept_text import canonical, digest_of
from tests.factories import DAY, FixtureTypeFactory, InvitationFactory, JobFactory, MemberFactory, RoomFactory

WALLS = ("door", "left", "far", "right")


def people_of(shop):
    """A member of the shop for each role."""
    return {role: MemberFactory(shop=shop, role=role.value) for role in Role}


def ways_in(people):
    """Ids of an invitation that stands, and of the owner's link to a new password, as an address has them."""
    asked = InvitationFactory(shop=people["owner"].shop, made_by=people["owner"])
    user = people["owner"].user
    return {
        "invitation_id": asked.pk,
        "invitation": invitation_path(asked).split("/")[-2],
        "reset": reset_path(user).split("/")[-2],
    }


def sign_in(client, member):
    client.force_login(member.user)
    return client


def tape_room(room, kind, left_right, door_far, **more):
    readings = [("door", 1, inches(left_right), None), ("left", 1, inches(door_far), None)]
    readings += [(subject, 1, inches(value), None) for subject, value in more.items()]
    services.record_measurements(room, readings, kind=kind, taken_on=DAY, taken_by="R.")


def build_room(job, *, furring="2", gap="6", framing=("166", "93"), finished=("150 1/2", "77 1/4"), **fields):
    """A cloud 6 in off furred walls, taped twice; without `finished` only its framing is known."""
    fields = {"name": "Snug", "ceiling_system": "cloud"} | fields
    room = RoomFactory(job=job, **{f"gap_{wall}": inches(gap) for wall in WALLS} | fields)
    if furring:
        services.set_build_up(room, [(wall, "furring", inches(furring)) for wall in WALLS])
    if framing:
        tape_room(room, "framing", *framing)
    if finished:
        tape_room(room, "finished", *finished)
    return room


def draft_room(room, **fields):
    """Two rows of three lights, 12 in from the ends, rows 18 in off the wall, speakers in both gaps."""
    wanted = {
        "rows": 2,
        "lights_per_row": 3,
        "end_setback": inches(12),
        "row_setback": inches(18),
        "spacing_limit": inches(72),
        "speaker_gaps": "1,2",
        "light_type": FixtureTypeFactory(shop=room.shop),
        "speaker_type": FixtureTypeFactory(shop=room.shop, kind="speaker", name="6 in speaker", cutout=inches(8)),
    } | fields
    return Draft.objects.create(shop=room.shop, room=room, **wanted)


def practice_room(shop, **built):
    """The room with its draft, ready to issue."""
    room = build_room(built.pop("job", None) or JobFactory(shop=shop), **built)
    draft_room(room)
    return fresh(room)


def fresh(room):
    """As a page reads it."""
    return room_of(room.shop, room.pk)


def issue(room, by=None, **fields):
    return issue_revision(fresh(room), by=by, **fields)


def bids_of(job, by):
    """A bid typed in by hand: (revision A as sent, revision B as a draft)."""
    draft = bids.open_bid(job, by=by)
    bids.add_line(draft, "work", words="Lights and cable", material=Decimal("6200.00"), hours=Decimal(86))
    sent = send_bid(draft, by)
    return sent, bids.next_revision(sent.bid, by=by)


def send_bid(draft, by, on=DAY):
    """Look the draft over, and send it."""
    draft = revision_of(draft.shop, draft.pk)
    seen = digest_of(canonical(draft_contents(draft, lines_of(draft), base_for(draft))))
    return bids.send(draft, seen, by=by, on=on)


# What a page would send


class _Forms(HTMLParser):
    """Every form of a page as (action, {name: value}): what a browser sends when nothing is touched."""

    def __init__(self):
        super().__init__()
        self.forms, self.inside, self.select, self.textarea = [], None, None, None

    def handle_starttag(self, tag, attrs):
        has = dict(attrs)
        if tag == "form":
            self.inside = {}
            self.forms.append((has.get("action", ""), self.inside))
        if self.inside is None or "disabled" in has:
            return
        if tag == "input" and has.get("name"):
            ticked = has.get("type") not in ("checkbox", "radio") or "checked" in has
            if ticked:
                self.inside[has["name"]] = has.get("value", "on" if has.get("type") == "checkbox" else "")
        elif tag == "select":
            self.select = has["name"]
        elif tag == "option" and self.select is not None:
            if "selected" in has or self.select not in self.inside:
                self.inside[self.select] = has.get("value", "")
        elif tag == "textarea":
            self.textarea = has["name"]
            self.inside[self.textarea] = ""

    def handle_endtag(self, tag):
        if tag == "form":
            self.inside = None
        elif tag == "select":
            self.select = None
        elif tag == "textarea":
            self.inside[self.textarea] = self.inside[self.textarea].removeprefix("\n")
            self.textarea = None

    def handle_data(self, data):
        if self.textarea is not None and self.inside is not None:
            self.inside[self.textarea] += data


def forms_of(response):
    parser = _Forms()
    parser.feed(response.content.decode())
    return parser.forms


def on_page(response, holding):
    """What the page's form that has a box of this name would send, without the anti-forgery token."""
    (found,) = [boxes for _action, boxes in forms_of(response) if holding in boxes]
    return {name: value for name, value in found.items() if name != "csrfmiddlewaretoken"}
