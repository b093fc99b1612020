"""Records on paper: every page says whose it is, pages are numbered through, and no price is anywhere."""

import io
import re
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from pypdf import PdfReader

from layout.engine.lengths import Style, Tape, Unit, feet, inches
from layout.engine.marks import Axis, Kind
from layout.engine.wiring.chain import Drop, Point
from layout.engine.wiring.runs import Outlet, RoomWiring, Zone, room_runs
from projects.catalogue.tables import checklist, takeoff_rules
from reports.documents import checklist as checklist_paper
from reports.documents import schedule as schedule_paper
from reports.documents import takeoff as takeoff_paper
from reports.documents.head import Head, Paper, RoomRef, amount
from reports.documents.packet import alone, job_packet, laid_out
from reports.documents.pdf import lay_out
from reports.estimating.rules import allowances, usual_cables
from reports.estimating.schedule import FixtureFacts, Hole, job_schedule
from reports.estimating.takeoff import Fixture, RoomContents, job_takeoff, room_takeoff

RULES = takeoff_rules()
DEN, HALL = RoomRef("Den", "cellar", 3, "A41C9E"), RoomRef("Hall")
JOB = Head("Marlow Ceilings", "26-014", "Larkspur Lane", date(2026, 11, 25))
ROOM = Head("Marlow Ceilings", "26-014", "Larkspur Lane", date(2026, 11, 25), DEN)
LIGHT = FixtureFacts("six", Kind.LIGHT, "6 in light", inches("6 3/8"), "R., bench", inches(6), watts=Decimal(12))
SPEAKER = FixtureFacts("sp", Kind.SPEAKER, "6 1/2 in speaker", inches("8 1/4"), watts=Decimal(60))


def counted(name, placed):
    drops = tuple(Drop(f"A{n}", Point(feet(5 * n), feet(4))) for n in (1, 2, 3))
    switch = Outlet("switch", Point(feet(0), feet(4)), feet(4)) if placed else None
    wiring = room_runs(
        RoomWiring(feet(9), Axis.LEFT_RIGHT, (Zone("A", drops, switch),)), usual_cables(RULES), allowances(RULES)
    )
    lights = tuple(Fixture(drop.id, Kind.LIGHT, "six", "6 in light", "new_work", "A") for drop in drops)
    return room_takeoff(RoomContents(name, lights, wiring), RULES)


@pytest.fixture(scope="module")
def bodies():
    marks = [Hole("A1", "six", "A"), Hole("A2", "six", "A"), Hole("SP1", "sp")]
    schedule = job_schedule([("Den", marks), ("Hall", [])], (LIGHT, SPEAKER))
    rooms = ((DEN, counted("Den", True)), (HALL, counted("Hall", False)))
    takeoff = job_takeoff([room for _, room in rooms], RULES)
    return {
        "Fixture schedule": schedule_paper.body(
            schedule_paper.SchedulePaper(JOB, schedule, (DEN, HALL), Tape(Style.FEET_INCHES))
        ),
        "Takeoff": takeoff_paper.body(takeoff_paper.TakeoffPaper(JOB, takeoff, rooms, Unit.INCH)),
        "Rough-in checklist": checklist_paper.body(checklist_paper.ChecklistPaper(ROOM, checklist(), {})),
    }


@pytest.fixture(scope="module")
def packet(bodies):
    return job_packet([laid_out(title, body) for title, body in bodies.items()], JOB)


def texts(pdf):
    return [" ".join(one.extract_text().split()) for one in PdfReader(io.BytesIO(pdf)).pages]


def test_a_packet_is_numbered_through_over_all_its_documents(packet):
    pages = texts(packet)
    assert len(pages) > 3
    for number, text in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in text


def test_a_page_that_numbers_itself_takes_the_packets_numbers():
    """A mark-out card has a look, a page and a footing of its own."""
    card = (
        '<!doctype html><html lang="en"><head><title>card</title><style>body { page: card } @page { @bottom-right '
        '{ content: "page " counter(page) " of " counter(pages) } }</style></head><body><p>front</p></body></html>'
    )
    front, back = texts(job_packet([lay_out("Den", card), lay_out("Hall", card)], JOB))
    assert (front, back) == ("front page 1 of 2", "front page 2 of 2")


def test_every_page_names_the_job_the_room_the_date_and_the_record(packet):
    for text in texts(packet):
        assert "26-014 Larkspur Lane" in text
        assert "Nov 25, 2026" in text
        assert "Whole job" in text or "Den, cellar" in text
        assert "Fixture schedule" in text or "Takeoff" in text or "Rough-in checklist" in text


def test_every_page_of_a_rooms_record_carries_its_revision_and_short_hash(bodies):
    pages = texts(alone("Rough-in checklist", bodies["Rough-in checklist"], ROOM))
    assert len(pages) == 3
    assert all("rev 3 · A41C9E" in text for text in pages)


@pytest.mark.parametrize(("paper", "points"), [(Paper.LETTER, (612, 792)), (Paper.A4, (595, 842))])
def test_paper_comes_in_letter_and_a4(bodies, paper, points):
    """US Letter 8 1/2 x 11 in; A4 210 x 297 mm (ISO 216)."""
    box = PdfReader(io.BytesIO(alone("Fixture schedule", bodies["Fixture schedule"], JOB, paper))).pages[0].mediabox
    assert (round(box.width), round(box.height)) == points


def test_the_same_record_printed_twice_is_the_same_to_the_byte(bodies):
    once, again = (alone("Fixture schedule", bodies["Fixture schedule"], JOB) for _ in range(2))
    assert once == again


def test_no_price_and_no_currency_stands_in_any_record(bodies):
    for body in bodies.values():
        assert not any(word in body.lower() for word in ("$", "€", "price", "cost", "usd"))


def test_every_figure_of_a_takeoff_opens_on_screen_to_its_rule_its_numbers_and_a_source(bodies):
    opened = re.findall(r'<details class="why">(.*?)</details>', bodies["Takeoff"], re.DOTALL)
    assert len(opened) > 20
    runs = [each for each in opened if "along the framing" in each]
    assert len(runs) == 5  # Den: leg and two hops; Hall: two hops
    assert all("<dt>" in each for each in opened)
    assert all("Source:" in each for each in opened if each not in runs)


def test_what_was_not_placed_is_said_with_the_room_it_is_missing_from(bodies):
    assert "<b>Hall:</b> Switch of zone A not placed" in bodies["Takeoff"]
    assert "<b>Den:</b> Panel not placed: enter it to count the homerun." in bodies["Takeoff"]


def test_a_type_nobody_measured_says_do_not_cut_yet(bodies):
    assert "Do not cut yet: the cutout of type B has not been measured" in bodies["Fixture schedule"]
    assert bodies["Fixture schedule"].count("do not cut yet") == 1


def test_a_speakers_rating_is_not_added_to_what_a_dimmer_carries(bodies):
    assert "2 lights · 1 speaker · 24 W of lights" in bodies["Fixture schedule"]


@pytest.mark.parametrize(
    ("quantity", "unit", "places", "shown"),
    [
        (feet("139.25"), Unit.INCH, 1, "139.3"),  # half up
        (inches(9), Unit.INCH, 2, "0.75"),
        (feet(100), Unit.MM, 2, "30.48"),
        (Fraction(12), Unit.INCH, 1, "12"),
        (Fraction(5, 2), Unit.INCH, 1, "2 1/2"),
        (Fraction(1, 3), Unit.INCH, 1, "1/3"),
    ],
)
def test_pieces_are_written_as_people_count_and_cable_in_the_shops_unit(quantity, unit, places, shown):
    assert amount(quantity, unit, places) == shown


def test_a_takeoff_of_hundreds_of_rooms_lists_some_and_says_how_many_more():
    rooms = [counted(f"Room {number}", True) for number in range(200)]
    job = job_takeoff(rooms, RULES)
    told = takeoff_paper.body(takeoff_paper.TakeoffPaper(JOB, job, (), Unit.INCH))
    assert "Room 59" in told and "Room 60" not in told
    assert "140 more rooms: the spreadsheet has them all." in told
