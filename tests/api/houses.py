"""A shop as the API's tests need it: a person of each role, one room laid out and issued, and clients that ask.

The room is the practice room: framing 166 by 93 in, 2 in of furring, a gap of 6 in all around.
"""

import io
import json

from django.core.files.base import ContentFile
from django.test import Client
from django.urls import URLPattern, get_resolver, reverse
from PIL import Image

from layout.as_built.services import record
from layout.editor.pictures import keep_picture
from layout.engine.lengths import inches
from layout.models import Draft
from layout.services import issue_revision
from projects.accounts.models import ApiToken
from projects.catalogue.labels import add_sheet
from projects.files.pdfs import Pdf
from projects.jobs import services
from projects.jobs.queries import room_of
from projects.photos.services import keep_pixels
from projects.platform.permissions import Role
from reports.takeoffs.services import freeze
from tests.api.reports_ids import ids_of_reports
from tests.factories import (
    DAY,
    CircuitFactory,
    ControlTypeFactory,
    FieldExtraFactory,
    FixtureTypeFactory,
    HandRunFactory,
    InvitationFactory,
    ItemFactory,
    JobFactory,
    JobRatesFactory,
    JoinCodeFactory,
    JoinedFactory,
    LightTargetFactory,
    LoggedFeetFactory,
    LoggedHoursFactory,
    MemberFactory,
    OrderLineFactory,
    PassFactory,
    PhotometricFileFactory,
    PieceFactory,
    PunchItemFactory,
    ReelFactory,
    RoomFactory,
    ShopFactory,
    TypedLineFactory,
    WorkFactory,
    told_to,
)
from tests.shops import bids_of

ABSENT = 987_654
PROBLEM = "application/problem+json"
WALLS = ("door", "left", "far", "right")
METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")


def _walk(patterns):
    for pattern in patterns:
        if isinstance(pattern, URLPattern):
            yield pattern.name, pattern
        else:
            yield from _walk(pattern.url_patterns)


def api_patterns():
    """Every address of the API by its name, from the URL resolver; the one that answers 404 to the rest is left out."""
    [api] = [found for found in get_resolver().url_patterns if getattr(found, "namespace", None) == "api"]
    return {name: pattern for name, pattern in _walk(api.url_patterns) if name != "unknown"}


def page_modules():
    """Every page by its name, and the module its view stands in."""
    pages = [found for found in get_resolver().url_patterns if getattr(found, "namespace", None) != "api"]
    return {name: pattern.callback.__module__ for name, pattern in _walk(pages)}


def converters(name):
    """The ids that stand in an address."""
    return get_resolver().namespace_dict["api"][1].reverse_dict.getlist(name)[0][0][0][1]


class House:
    def __init__(self, **shop):
        self.shop = ShopFactory(**shop)
        self.people = {role: MemberFactory(shop=self.shop, role=role.value) for role in Role}
        self.light = FixtureTypeFactory(shop=self.shop)
        self.job = JobFactory(shop=self.shop)
        self.room = self.build("Snug")
        draft = Draft.objects.create(
            shop=self.shop, room=self.room, rows=2, lights_per_row=3, end_setback=inches(12), row_setback=inches(18),
            spacing_limit=inches(72), light_type=self.light,
        )  # fmt: skip
        self.draft = draft
        self.revision = issue_revision(room_of(self.shop, self.room.pk), by=self.people[Role.OWNER])
        JobRatesFactory(job=self.job)
        JobRatesFactory(job=None, shop=self.shop)
        self.ids = {
            "job_id": self.job.pk,
            "room_id": self.room.pk,
            "item_id": ItemFactory(shop=self.shop).pk,
            "hours_id": LoggedHoursFactory(room=self.room).pk,
            "feet_id": LoggedFeetFactory(room=self.room).pk,
            "number": self.revision.number,
            "type_id": self.light.pk,
            "control_id": ControlTypeFactory(shop=self.shop).pk,
            "target_key": LightTargetFactory(shop=self.shop).key,
            "file_id": PhotometricFileFactory(shop=self.shop).pk,
            "circuit_id": CircuitFactory(job=self.job).pk,
            "work_id": WorkFactory(shop=self.shop).pk,
            "taken": freeze(self.job, by=None).number,
            "reel_id": ReelFactory(shop=self.shop).pk,
            "hand_run_id": HandRunFactory(room=self.room).pk,
            "change_id": TypedLineFactory(change__job=self.job).change_id,
            "extra_id": FieldExtraFactory(job=self.job).pk,
            "pass_id": PassFactory(event__room=self.room).pk,
            "line_id": OrderLineFactory(order__job=self.job).pk,
            "invitation_id": InvitationFactory(shop=self.shop).pk,
            "member_id": self.people[Role.CREW].pk,
            "shot_id": keep_pixels(self.room, Image.new("RGB", (8, 6)), by=None).pk,
            "piece_id": PieceFactory(room=self.room).pk,
            "move_id": self.asked_move().pk,
            "punch_id": PunchItemFactory(room=self.room).pk,
            "joined_id": JoinedFactory(job=self.job).pk,
            "code_id": JoinCodeFactory(job=self.job).pk,
            **told_to(self.shop),
        }
        self.hand_in()
        _sent, draft = bids_of(self.job, self.people[Role.OWNER])
        self.ids |= ids_of_reports(self)
        self.ids |= {"bid_id": draft.bid_id, "bid_revision_id": draft.pk, "bid_line_id": draft.lines.first().pk}

    def hand_in(self):
        """A maker's sheet of the light, and a picture under the room's plan."""
        page, upload = io.BytesIO(), io.BytesIO()
        Image.new("RGB", (80, 60)).save(page, "PDF")
        add_sheet(self.light, Pdf(page.getvalue(), 1), self.people[Role.OWNER], title="Sheet")
        Image.new("RGB", (80, 60)).save(upload, "PNG")
        keep_picture(self.room, ContentFile(upload.getvalue(), "plan.png"))

    def asked_move(self):
        """A mark set so far off that somebody has to say yes."""
        mark = self.revision.marks.order_by("pk").first()
        told = {"step": "floor", "along": mark.along + inches(12), "across": mark.across}
        return record(self.room, mark.ident, **told, reason="joist", by=self.people[Role.CREW]).move

    def build(self, name):
        gaps = {f"gap_{wall}": inches(6) for wall in WALLS}
        room = RoomFactory(job=self.job, name=name, ceiling_system="cloud", **gaps)
        services.set_build_up(room, [(wall, "furring", inches(2)) for wall in WALLS])
        readings = [("door", 1, inches(166), None), ("left", 1, inches(93), None)]
        services.record_measurements(room, readings, kind="framing", taken_on=DAY, taken_by="R.")
        return room

    def own_of(self, role):
        """Ids of what belongs to a person rather than to the shop."""
        return {"token_id": ApiToken.make(self.people[role], "own")[0].pk}

    def address(self, name, **other):
        if "token_id" in converters(name) and "token_id" not in self.ids | other:
            other |= self.own_of(Role.OWNER)
        return reverse(f"api:{name}", kwargs={part: (self.ids | other)[part] for part in converters(name)})

    def ask(self, role=Role.OWNER):
        return Asker(token_of(self.people[role]))


def token_of(member):
    return ApiToken.make(member, "test")[1]


class Asker:
    """A program with a token; without one, anybody."""

    def __init__(self, secret=None):
        self.client = Client(raise_request_exception=False)
        self.headers = {"Authorization": f"Bearer {secret}"} if secret else {}

    def send(self, method, address, body=None, *, raw=None, content_type="application/json", **headers):
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        data = raw if raw is not None else b"" if body is None else json.dumps(body).encode()
        return self.client.generic(method, address, data, content_type=content_type, headers={**self.headers, **named})

    def get(self, address, **headers):
        return self.send("GET", address, **headers)

    def post(self, address, body=None, **more):
        return self.send("POST", address, {} if body is None else body, **more)

    def edit(self, method, address, body):
        """Read, then write what was read: with its ETag."""
        return self.send(method, address, body, If_Match=self.get(address)["ETag"])


def problem_of(response, status=None):
    """The problem a response tells, checked for its shape (RFC 9457, 3.1)."""
    assert response["Content-Type"] == PROBLEM, (response.status_code, response.content[:300])
    told = response.json()
    assert {"type", "title", "status", "detail"} <= told.keys()
    assert told["status"] == response.status_code
    if status is not None:
        assert response.status_code == status, told
    return told


def wrong_at(response):
    """Where a refused body is wrong, and what is said there."""
    return {error["pointer"]: error["detail"] for error in problem_of(response, 400)["errors"]}
