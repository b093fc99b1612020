"""A room's routes and a job's cables as people meet them: set by hand, pulled by the marks, bought, labeled."""

import io
import re

import pytest
from pypdf import PdfReader

from layout.engine.lengths import feet, inches
from projects.platform.permissions import Role
from reports.wiring.models import HandRun, Pull, Reel
from tests.conftest import own_copy, standing
from tests.factories import ItemFactory, ItemPackFactory, PriceFactory, ReelFactory
from tests.reports.cable_site import Site
from tests.shops import forms_of, issue, on_page, practice_room

pytestmark = pytest.mark.django_db


site_standing = standing(Site)


@pytest.fixture
def site(site_standing, db):
    return own_copy(site_standing)


def text_of(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())).replace("\N{NO-BREAK SPACE}", " ")


def test_routes_are_drawn_and_every_run_opens_to_its_parts(client, site):
    page = site.as_(client, Role.VIEWER).get(site.wiring)
    assert page.status_code == 200
    said = text_of(page)
    for words in ("1-H1", "1-A1", "1-SP1", "homerun, arrow to the panel", "drop to the switch", "Holes through"):
        assert words in said, words
    assert "style=" not in page.content.decode()


def test_a_room_without_a_layout_says_what_to_do_first(client, site):
    other = practice_room(site.shop, job=site.room.job, name="Attic")
    page = site.as_(client, Role.VIEWER).get(f"/rooms/{other.pk}/wiring/")
    assert "issue a revision" in text_of(page)


def test_a_run_set_by_hand_counts_and_the_computed_one_stays_beside_it(client, site):
    lead = site.as_(client, Role.CREW_LEAD)
    computed = re.search(r"([\d.]+) ft of cable before waste", text_of(lead.get(site.job)))[1]
    boxes = on_page(lead.get(site.wiring + "?run=1-H1"), "why")
    assert lead.post(site.wiring, boxes | {"why": "around the stair", "length": ""}).status_code == 422
    answer = lead.post(site.wiring, boxes | {"length": "61'", "why": "around the stair"})
    assert answer.status_code == 302
    said = text_of(lead.get(site.job))
    assert "Of it 61.0 ft are set by hand" in said
    assert "by hand, computed" in said
    record = HandRun.objects.of(site.shop).get()
    assert lead.post(site.wiring, {"put_back": "9" * 5000}).status_code == 302
    lead.post(site.wiring, {"put_back": record.pk})
    assert f"{computed} ft of cable before waste" in text_of(lead.get(site.job))


def test_a_run_whose_end_is_not_placed_counts_by_the_feet_a_person_gives(client, site):
    site.room.wire_points.filter(what="panel").delete()
    lead = site.as_(client, Role.CREW_LEAD)
    page = lead.get(site.wiring)
    assert "Panel not placed" in text_of(page)
    boxes = on_page(page, "why") | {"run": "switch\N{EN DASH}panel", "why": "paced off"}
    refused = lead.post(site.wiring, boxes | {"bends": '100", 0"'})
    assert refused.status_code == 422 and "Give its length" in text_of(refused)
    assert lead.post(site.wiring, boxes | {"length": "48'"}).status_code == 302
    said = text_of(lead.get(site.wiring))
    assert "Panel not placed" not in said and "48.0 ft" in said and "1-H1" in said


def test_a_way_set_by_hand_is_counted_along_its_bends(client, site):
    """Switch at 6 in by 0, panel at 0 by 60 in: by a bend at 100 in by 0 the way is 94 + 100 + 60 = 254 in = 21.17 ft,
    with the drops, the hall and the make-up that were computed for it."""
    lead = site.as_(client, Role.CREW_LEAD)
    boxes = on_page(lead.get(site.wiring + "?run=1-H1"), "why")
    lead.post(site.wiring, boxes | {"bends": '100", 0"', "why": "as it was stapled"})
    again = on_page(lead.get(site.wiring + "?run=1-H1"), "why")
    assert again["bends"].startswith('100"') or again["bends"].startswith("8' 4")
    # drops: 108 in to framing, 5/8 in drywall... the room's own ceiling height is what the revision says.
    finished = site.room.revisions.first().finished_height
    drops = (finished - inches(48)) + (finished - inches(60))
    whole = inches(254) + drops + inches(240) + feet(3) + feet(1)
    assert f"{float(whole.nm / feet(1).nm):.1f} ft" in text_of(lead.get(site.wiring))


def test_two_people_who_set_the_same_run_see_each_others_number(client, site):
    lead = site.as_(client, Role.CREW_LEAD)
    boxes = on_page(lead.get(site.wiring + "?run=1-H1"), "why")
    lead.post(site.wiring, boxes | {"length": "61'", "why": "first"})
    answer = lead.post(site.wiring, boxes | {"length": "70'", "why": "second"})
    assert answer.status_code == 422
    assert "first" in text_of(answer)
    assert lead.post(site.wiring, on_page(answer, "why")).status_code == 302
    assert HandRun.objects.of(site.shop).get().length == feet(70)


def pull(client, site, **changed):
    boxes = on_page(client.get(site.job + "pull/"), "start_mark")
    return client.post(site.job + "pull/", boxes | changed)


def counted(client, site, cable):
    """The length of one cable in whole feet, as the schedule counts it."""
    rows = client.get(site.job + "?as=csv").content.decode("utf-8-sig").splitlines()
    (row,) = [row.split(",") for row in rows if row.lstrip("'").startswith(cable + ",")]
    return round(float(row[rows[0].split(",").index("length")]))


def test_marks_on_the_jacket_say_what_was_used_and_what_is_left(client, site):
    reel = ReelFactory(shop=site.shop, name="blue flange", left=feet(200), mark=740)
    crew = site.as_(client, Role.CREW)
    used = counted(crew, site, "1-H1")
    answer = pull(crew, site, reel=reel.pk, run="1-H1", start_mark=740, end_mark=740 - used)
    assert answer.status_code == 302, text_of(answer)
    said = text_of(crew.get(site.job + "pull/"))
    assert f"1-H1 took {used} ft. Left on blue flange: {200 - used} ft." in said
    assert "Next that fit, the longest first: 1-A" in said
    reel.refresh_from_db()
    assert (reel.left, reel.mark) == (feet(200 - used), 740 - used)
    # It is in: not on the list of what to pull any more, and back on it when the pull was entered wrongly.
    assert "In already" in said
    crew.post(f"/reels/{reel.pk}/", {"take_back": Pull.objects.of(site.shop).get().pk})
    reel.refresh_from_db()
    assert (reel.left, reel.mark) == (feet(200), 740)
    assert Pull.objects.of(site.shop).count() == 2
    assert "In already" not in text_of(crew.get(site.job + "pull/"))


def test_marks_past_what_the_reel_holds_are_refused_and_odd_ones_asked_about(client, site):
    reel = ReelFactory(shop=site.shop, left=feet(120), mark=500)
    crew = site.as_(client, Role.CREW)
    answer = pull(crew, site, reel=reel.pk, run="1-H1", start_mark=500, end_mark=700)
    assert answer.status_code == 422
    assert "this reel holds 120 ft" in text_of(answer)
    answer = pull(crew, site, reel=reel.pk, run="1-H1", start_mark=500, end_mark=615)
    assert "Read the marks again, or say that it is so" in text_of(answer)
    assert not Pull.objects.of(site.shop).exists()
    assert pull(crew, site, reel=reel.pk, run="1-H1", start_mark=500, end_mark=615, sure="on").status_code == 302
    reel.refresh_from_db()
    assert reel.left == feet(5)


def test_a_speaker_run_does_not_come_off_a_power_reel(client, site):
    reel = ReelFactory(shop=site.shop)
    answer = pull(site.as_(client, Role.CREW), site, reel=reel.pk, run="1-SP1", start_mark=0, end_mark=30)
    assert answer.status_code == 422
    assert "Choose another reel or another run" in text_of(answer)


def test_a_reel_is_put_in_stock_once_and_planned_first(client, site):
    crew = site.as_(client, Role.CREW)
    boxes = on_page(crew.get("/reels/"), "full")
    entered = boxes | {"cable": "14/2", "name": "red", "full": "250'", "left": "180'"}
    assert crew.post("/reels/", entered).status_code == 302
    assert crew.post("/reels/", entered).status_code == 422
    assert crew.post("/reels/", entered | {"name": "two", "left": "300'"}).status_code == 422
    assert Reel.objects.of(site.shop).get().left == feet(180)
    said = text_of(crew.get(site.job + "reels/"))
    assert "red opened, 180 ft on it" in said
    assert "To buy: nothing" in said


def test_the_reel_plan_names_costs_to_the_office_alone(client, site, priced_cable):
    said = text_of(site.as_(client, Role.OWNER).get(site.job + "reels/"))
    assert "proved the least" in said
    assert re.search(r"To buy: 1 × \d+ ft ; \d+\.\d\d", said), said[:3000]
    for role in (Role.CREW_LEAD, Role.CREW, Role.VIEWER):
        said = text_of(site.as_(client, role).get(site.job + "reels/"))
        assert "proved" not in said
        assert not re.search(r"\d\.\d\d\b", said.split("Each piece comes whole")[1]), role


@pytest.fixture
def priced_cable(site):
    item = ItemFactory(shop=site.shop, key="cable:14/2", name="14/2 cable with ground", category="cable")
    for long, price in ((50, "38.00"), (100, "66.00"), (250, "139.00")):
        pack = ItemPackFactory(item=item, pieces=None, length=feet(long))
        PriceFactory(pack=pack, amount=price)


def test_both_ends_of_every_cable_get_a_label_at_full_size(client, site):
    owner = site.as_(client, Role.OWNER)
    assert "one for each end of every cable" in text_of(owner.get(site.job + "labels/"))
    cables = len(owner.get(site.job + "?as=csv").content.decode().splitlines()) - 1
    answer = owner.get(site.job + "labels/?sheet=letter_30&first=29")
    book = PdfReader(io.BytesIO(answer.content))
    text = "\n".join(page.extract_text() for page in book.pages)
    assert text.count("other end") == 2 * cables
    assert "here panel, other end switch" in text
    assert "here switch, other end panel" in text
    assert book.pages[0].extract_text().count("other end") == 2  # two were still free on the sheet begun
    assert [float(side) for side in book.pages[0].mediabox[2:]] == [612, 792]
    assert owner.get(site.job + "labels/?sheet=letter_30&first=31").status_code == 422
    assert owner.get(f"{site.job}labels/?sheet=letter_30&first={'1' * 5000}").status_code == 422


@pytest.mark.parametrize("page", ["", "reels/", "pull/"])
def test_each_is_printed(client, site, page):
    answer = site.as_(client, Role.CREW).get(site.job + page + "?paper=letter")
    assert answer["Content-Type"] == "application/pdf"
    assert "1-H1" in "".join(sheet.extract_text() for sheet in PdfReader(io.BytesIO(answer.content)).pages)


def test_a_room_named_like_a_formula_does_no_harm_in_a_spreadsheet(client, site):
    site.room.name = "=1+1"
    site.room.save()
    rows = site.as_(client, Role.OWNER).get(site.job + "?as=csv").content.decode("utf-8-sig").splitlines()
    assert rows[0].startswith("cable_id,room_name,kind,from,to")
    assert all("'=1+1" in row for row in rows[1:])


def test_who_may_only_read_finds_no_boxes(client, site):
    viewer = site.as_(client, Role.VIEWER)
    for address in (site.wiring, site.job + "pull/", "/reels/"):
        names = {name for _action, boxes in forms_of(viewer.get(address)) for name in boxes}
        assert names <= {"csrfmiddlewaretoken", "theme", "q"}, address


@pytest.mark.parametrize("page", ["", "reels/", "pull/"])
def test_a_jobs_cables_ask_as_often_for_three_rooms_as_for_one(client, site, page, django_assert_max_num_queries):
    owner = site.as_(client, Role.OWNER)
    owner.get(site.job + page)
    with django_assert_max_num_queries(40) as one:
        owner.get(site.job + page)
    for name in ("Loft", "Hall"):
        issue(practice_room(site.shop, job=site.room.job, name=name))
    owner.get(site.job + page)
    with django_assert_max_num_queries(40) as three:
        owner.get(site.job + page)
    assert len(one) == len(three)


def test_over_the_api_a_run_is_set_pulled_and_told(client, site):
    """The same rules as on the pages: a stale version is refused with both values, odd marks are asked about."""
    owner = site.as_(client, Role.OWNER)
    api = "/api/v1"

    def send(method, path, body=None, **headers):
        return getattr(owner, method)(
            api + path, body, content_type="application/json", headers={"X-CSRFToken": "", **headers}
        )

    by_hand = f"/rooms/{site.room.pk}/runs-by-hand/"
    made = send("post", by_hand, {"run": "1-H1", "length": "61'", "why": "taped"})
    assert made.status_code == 201, made.content
    assert made.json()["length"]["nm"] == int(feet(61))
    again = send("post", by_hand, {"run": "1-H1", "length": "62'", "why": "again"})
    assert again.status_code == 412
    assert again.json()["theirs"]["why"] == "taped"
    assert send("post", by_hand, {"run": "9-A1", "length": "6'", "why": "x"}).json()["errors"][0]["pointer"] == "/run"
    cables = {row["number"]: row for row in send("get", f"/jobs/{site.room.job_id}/cables/").json()["results"]}
    assert cables["1-H1"]["by_hand"]["nm"] == int(feet(61))
    reel = send("post", "/reels/", {"cable": "14/2", "name": "red", "full": "250'", "marks_in": "ft"}).json()
    pulls = f"/reels/{reel['id']}/pulls/"
    marks = {"job": site.room.job_id, "run": "1-H1", "start_mark": 100}
    asked = send("post", pulls, marks | {"end_mark": 300})
    assert (asked.status_code, asked.json()["errors"][0]["code"]) == (400, "ask")
    assert send("post", pulls, marks | {"end_mark": 165}).status_code == 201
    assert send("get", "/reels/").json()["results"][0]["left"]["nm"] == int(feet(185))
    plan = send("get", f"/jobs/{site.room.job_id}/reel-plan/").json()["results"][0]
    assert plan["reels"][0]["opened"] == reel["id"]
    assert not {"cost", "least", "price"} & plan.keys()
    one = f"{by_hand}{made.json()['id']}/"
    assert send("delete", one).status_code == 428
    assert send("delete", one, If_Match=made["ETag"]).status_code == 204
