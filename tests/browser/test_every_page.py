"""Every page there is, for someone who may see them all: on a phone, at a desk, and in the dark where it is read most.

Person.looks_over says what is asked of a page.
"""

from decimal import Decimal

import pytest
from django.urls import get_resolver
from PIL import Image

from layout.services import draft_of
from projects.catalogue.models import FixtureType
from projects.doors.links import reset_path
from projects.photos.services import keep_pixels
from projects.platform.permissions import ROUTES
from reports.days.services import make_feed
from reports.takeoffs.services import freeze
from tests.factories import (
    ApprovalLinkFactory,
    CircuitFactory,
    ClientAnswerFactory,
    ControlTypeFactory,
    CorrectionFactory,
    CrewDayFactory,
    EntryKeptFactory,
    FieldExtraFactory,
    ItemFactory,
    JoinedFactory,
    LeftoverFactory,
    LightAimFactory,
    LightSetupFactory,
    LightTargetFactory,
    LightTaskFactory,
    MeterReadingFactory,
    OrderLineFactory,
    PassFactory,
    PhoneFactory,
    PhotometricFileFactory,
    PickLineFactory,
    PieceFactory,
    PriceImportFactory,
    PullFactory,
    PunchItemFactory,
    SurfaceMaterialFactory,
    ThingFactory,
    TypedLineFactory,
    WarrantyFactory,
    WorkFactory,
    told_to,
)
from tests.listening import enter, role, speaker
from tests.shops import bids_of, ways_in

pytestmark = pytest.mark.browser

# Not pages: files, and answers to scripts.
NO_PAGE = {
    "alive", "shop_file", "shop_lists_file", "security_txt", "sign_in_code", "healthz", "favicon", "read_length",
    "room_preview", "job_packet",
    "plan_dxf", "plan_svg", "plan_picture",
    "calendar_feed", "work_state", "change_paper", "extra_photo", "photo_file", "photo_small", "sheet_file",
    "field_worker", "field_hello", "field_keep", "packet_file", "takeoff_sheet", "photometric_text", "find_mark_plan",
    "hole_template", "approval_plan", "approval_copy", "office_copy",
}  # fmt: skip


@pytest.fixture
def page_of(shop, den, issued):
    """page_of(name): the address of a page of this shop."""
    ThingFactory(ceiling__room=den)
    asks_of_light_and_sound(den)
    revision = issued(den)
    known = {
        "place": 1,
        "leftover_id": LeftoverFactory(shop=shop).pk,
        "work_id": WorkFactory(shop=den.shop).pk,
        "reel_id": PullFactory(reel__shop=den.shop).reel_id,
        "change_id": TypedLineFactory(change__job=den.job).change_id,
        "extra_id": FieldExtraFactory(job=den.job).pk,
        "pass_id": PassFactory(event__room=den).pk,
        "warranty_id": WarrantyFactory(job=den.job).pk,
        "shot_id": keep_pixels(den, Image.new("RGB", (80, 60)), by=None).pk,
        "punch_id": PunchItemFactory(room=den).pk,
        "order_number": OrderLineFactory(order__job=den.job).order.number,
        "pick_number": PickLineFactory(pick_list__room=den).pick_list.number,
        "entry_id": EntryKeptFactory(room=den).pk,
        "phone_id": PhoneFactory(member=shop.people["crew"]).pk,
        "figure_name": "box.fill",
        "problem_slug": "stale",
        "job_id": den.job_id,
        "room_id": den.pk,
        "number": revision.number,
        "token": revision.token,
        "mark": revision.marks.first().ident,
        "member_id": shop.people["crew"].pk,
        "type_id": FixtureType.objects.of(shop).first().pk,
        "control_id": ControlTypeFactory(shop=den.shop).pk,
        "target_key": LightTargetFactory(shop=den.shop).key,
        "file_id": PhotometricFileFactory(shop=den.shop).pk,
        "circuit_id": CircuitFactory(job=den.job).pk,
        "item_id": ItemFactory(shop=shop).pk,
        "import_id": PriceImportFactory(shop=shop).pk,
        "taken": freeze(den.job, by=None).number,
        "visit_id": CorrectionFactory(result__visit__job=den.job, result__room=den).result.visit_id,
        "day_id": CrewDayFactory(room=den).pk,
        "feed": make_feed(shop.people["owner"])[1],
        "joined_id": JoinedFactory(job=den.job).pk,
        **told_to(den.shop),
        "table": "jobs_room",
        "record_id": den.pk,
    }

    asked = ApprovalLinkFactory(revision=revision)
    known |= {
        "piece_id": PieceFactory(room=den).pk,
        **ways_in(shop.people),
        "reset": reset_path(shop.people["crew"].user).split("/")[-2],  # the owner's ends as soon as the owner signs in
        "answer_id": ClientAnswerFactory(link=asked).pk,
        "approval_id": asked.pk,
        "approval": asked.token,
    }
    sent, draft = bids_of(den.job, shop.people["owner"])
    known |= {
        "bid_id": draft.bid_id,
        "bid_revision_id": draft.pk,
        "bid_line_id": draft.lines.first().pk,
        "link": sent.links.get().token,
    }

    def address(name):
        [(path, needed)] = get_resolver().reverse_dict.getlist(name)[0][0]
        return "/" + path % {part: known[part] for part in needed}

    return address


def asks_of_light_and_sound(room):
    """Speakers in two gaps, a seat and a screen; a level, a counter, an aim, a reading: no page of either is empty."""
    draft = draft_of(room)
    draft.speaker_type, draft.speaker_gaps = speaker(room.shop), "1,2"
    draft.save()
    enter(room, roles=(role("SP1", "L"), role("SP2", "R")))
    SurfaceMaterialFactory(room=room)
    setup = LightSetupFactory(room=room, target=30, target_unit="fc", wall_ratio=Decimal("0.5"))
    LightTaskFactory(setup=setup)
    LightAimFactory(setup=setup, number=1)
    MeterReadingFactory(room=room)


def test_every_page_can_be_read_and_pressed_at_any_width_without_scrolling_sideways(shop, page_of, person, width):
    owner = person(width=width, member=shop.people["owner"])
    pages = [name for name, route in ROUTES.items() if route.read and name not in NO_PAGE and ":" not in name]
    assert len(pages) > 20
    found = []
    for name in pages:
        try:
            owner.goes_to(page_of(name))
        except AssertionError as wrong:  # the others are looked at too: one run tells all
            found.append(f"{name}: {wrong}")
    assert found == []
    owner.goes_to("/rooms/?view=table").goes_to("/rooms/?q=cellar")
    owner.goes_to("/nothing-here/", status=404).sees("Nothing stands at this address")


@pytest.mark.parametrize("name", ["rooms", "room", "card"])
def test_a_page_read_in_a_dark_room_is_as_readable(name, shop, page_of, person, width):
    lead = person(width=width, member=shop.people["crew_lead"], color_scheme="dark")
    lead.goes_to(page_of(name))
    assert lead.page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches")


def test_a_shop_without_a_room_says_how_to_begin(shop, person, width):
    person(width=width, member=shop.people["crew_lead"]).goes_to("/rooms/").sees("No jobs yet")
