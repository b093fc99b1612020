"""A room's light report: what was computed and what it stands on, on a page, on Letter and on A4."""

import html
import io
import re

import pytest
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from layout.engine.lengths import inches
from layout.light.queries import light_of
from layout.light.services import change_setup, setup_of
from layout.services import draft_of
from projects.catalogue.models import FixtureType
from projects.platform.permissions import Role
from tests.conftest import own_copy, standing
from tests.factories import LightTaskFactory, PhotometricFileFactory, ShopFactory
from tests.shops import fresh, issue, people_of, practice_room, sign_in, tape_room

MOST_QUERIES = 40


class House:
    """162 by 89 in between finished walls, 96 in high, six lights of 800 lm and 60 degrees; its report as it stands.

    letter, again and a4 are printed with a bench in the room, which is gone afterwards.
    """

    def __init__(self):
        shop = ShopFactory()
        self.people = people_of(shop)
        room = practice_room(shop)
        tape_room(room, "framing", "166", "93", height="96")
        FixtureType.objects.of(shop).filter(pk=draft_of(room).light_type_id).update(lumens=800, beam_deg=60)
        self.room = fresh(room)
        reader = sign_in(Client(), self.people[Role.VIEWER])
        self.told = text(reader.get(address(self.room)))
        with transaction.atomic():
            setup = change_setup(setup_of(self.room), 1, {"note": "sizes as taped"})
            LightTaskFactory(setup=setup, name="bench")
            papers = ("letter", "letter", "a4")
            self.letter, self.again, self.a4 = (printed(reader.get(address(self.room, paper))) for paper in papers)
            transaction.set_rollback(True)


house_standing = standing(House)


@pytest.fixture
def house(house_standing, db):
    return own_copy(house_standing)


@pytest.fixture
def room(house):
    return fresh(house.room)


@pytest.fixture
def viewer(client, house):
    return sign_in(client, house.people[Role.VIEWER])


def address(room, paper=""):
    return reverse("light_report", args=[room.pk]) + (f"?paper={paper}" if paper else "")


def text(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", html.unescape(answer.content.decode())).split())


def printed(answer):
    assert answer["Content-Type"] == "application/pdf"
    return answer.content


def test_the_report_says_what_was_computed_and_what_it_stands_on(viewer, room):
    change_setup(setup_of(room), 1, {"lld": "0.850", "ldd": "0.940", "wall_percent": 60})
    told = text(viewer.get(address(room)))
    for words in (
        "Light report", "Work plane, average", "Walls over plane", "The lumen method", "ceiling 80 %", "walls 60 %",
        "floor 20 %", "0.799", "a smooth lobe of 800 lm and 60° stands for it", "13'-6\" left to right",
        "Where these numbers stop being true", "Every surface is taken as matte",
    ):  # fmt: skip
        assert words in told, words


def test_it_never_says_that_anything_complies(viewer, room):
    change_setup(setup_of(room), 1, {"target": "10"})
    told = text(viewer.get(address(room)))
    assert not re.search(r"\b(complies|compliant|compliance|passes|approved)\b", told, re.IGNORECASE)
    assert "local code and the licensed designer decide" in told


def test_what_was_asked_stands_beside_what_was_computed_with_its_edition(viewer, room):
    change_setup(setup_of(room), 1, {"target": "500", "uniformity": "0.10"})
    told = text(viewer.get(address(room)))
    assert "average on the work plane 500 fc (5,382 lx)" in told
    assert "short by" in told and "met" in told


def test_the_report_names_the_file_a_light_is_known_from(viewer, room):
    file = PhotometricFileFactory(shop=room.shop, name="Invented cosine")
    FixtureType.objects.of(room.shop).filter(pk=draft_of(room).light_type_id).update(photometric=file)
    assert "the photometric file Invented cosine (LM-63-2002)" in text(viewer.get(address(room)))


def test_it_tells_an_issued_layout_from_a_draft_and_a_draft_that_has_moved_on(viewer, house, room):
    assert "no revision was issued" in house.told
    issue(room)
    assert "as issued in revision 1" in text(viewer.get(address(room)))
    draft = draft_of(fresh(room))
    draft.end_setback = inches(14)
    draft.save()
    assert "is not what revision 1 says" in text(viewer.get(address(room)))


@pytest.mark.parametrize(("paper", "size"), [("letter", (612, 792)), ("a4", (595, 842))])
def test_it_prints_on_both_papers_with_every_picture_and_its_table(house, paper, size):
    pages = PdfReader(io.BytesIO(getattr(house, paper))).pages
    assert (round(float(pages[0].mediabox.width)), round(float(pages[0].mediabox.height))) == size
    assert 3 <= len(pages) <= 12
    told = " ".join(" ".join(page.extract_text() for page in pages).split())
    for words in ("Light on the work plane", "Light on the door wall", "Light on the bench"):
        assert told.count(words) >= 2, words  # under the picture, and over its table
    assert "The room from the door" in told and "What the view is shaded by" in told


def test_the_same_light_prints_the_same_bytes(house):
    assert house.letter == house.again != house.a4


def test_the_figures_of_the_report_are_those_of_the_light(house, room):
    """The area-weighted mean of the plane's points, in footcandles of 10.764 lx."""
    solved = light_of(room).solved
    grid, lux = solved.grid("plane"), solved.lux("plane")
    average = float((grid.areas * lux).sum() / grid.areas.sum()) / 10.7639
    assert f"Work plane, average {average:.0f} " in house.told


def test_a_room_without_light_to_compute_is_sent_where_that_is_said(viewer, room):
    FixtureType.objects.of(room.shop).filter(pk=draft_of(room).light_type_id).update(lumens=None)
    answer = viewer.get(address(room))
    assert answer.url == reverse("light", args=[room.pk])


def test_it_reads_a_bounded_number_of_rows(viewer, room):
    viewer.get(address(room))
    with CaptureQueriesContext(connection) as queries:
        viewer.get(address(room))
    assert len(queries) <= MOST_QUERIES


def test_a_stranger_finds_no_room(client, room):
    sign_in(client, people_of(ShopFactory())[Role.OWNER])
    assert client.get(address(room)).status_code == 404


def test_it_is_read_and_not_written(viewer, room):
    assert viewer.post(address(room)).status_code in (403, 405)


def test_a_room_that_does_not_exist_is_not_found(viewer):
    assert viewer.get(reverse("light_report", args=[999_999])).status_code == 404


def test_other_setbacks_are_charted_with_the_chosen_one_marked(house):
    assert "Other setbacks" in house.told and "Walls against setback" in house.told
    assert "this layout" in house.told
