"""A takeoff in a spreadsheet: columns in their order, text that stays what it was, sums another reader gets too."""

import csv
import io
import json
import re
from decimal import Decimal
from fractions import Fraction

import openpyxl
import pytest
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.jobs.models import Room
from projects.platform.permissions import Role
from reports import spreadsheets
from reports.estimating.sheet_rows import COLUMNS, Column
from reports.spreadsheets import Sheet, guarded, unguarded
from tests.factories import ShopFactory
from tests.shops import issue, people_of, practice_room, sign_in

# As the shop's estimator pastes them, in this order; common practice, no source.
ORDER = [
    "job_no", "job_name", "bid_rev", "room_id", "room_name", "stage", "category", "item_code", "description", "spec",
    "unit", "qty_net", "waste_pct", "qty_gross", "pack_size", "packs", "qty_order", "unit_cost", "ext_cost", "taxable",
    "tax", "labor_class", "unit_hours", "factor", "hours", "wage", "burden_pct", "labor_cost", "ext_total", "zone",
    "cable_type", "alternate", "co_no", "source", "note",
]  # fmt: skip
OFFICE = {
    "unit_cost", "ext_cost", "taxable", "tax", "labor_class", "unit_hours", "factor", "hours", "wage", "burden_pct",
    "labor_cost", "ext_total",
}  # fmt: skip
ODD = [
    "=1+1", "+SUM(A1)", "-2", "@cmd", "\tx", "\rx", " =A1", "3-4", "1/2", "0012", "1e5", "1E+5", "12:30", "Mar-4",
    "4 March", "May 2026", "TRUE", "nan", "'quoted", "''", "1,000", "$5", "4 pm", "50%", "(12)",
    "\uff1d1+1",
]  # fmt: skip
PLAIN = ["Den", "Room 3", "Bath 1/2 up", "Primary suite", "14/2 cable with ground", "L-shaped hall", "Café"]
TWO = (Column("name"), Column("count", "number"))


def test_the_columns_stand_in_their_order():
    assert [column.name for column in COLUMNS] == ORDER
    assert {column.name for column in COLUMNS if column.office} == OFFICE


@pytest.mark.parametrize("text", ODD)
def test_what_a_spreadsheet_would_take_for_something_else_is_led_by_an_apostrophe(text):
    assert guarded(text) == "'" + text
    assert unguarded(guarded(text)) == text


@pytest.mark.parametrize("text", PLAIN)
def test_other_text_stands_as_it_was_written(text):
    assert guarded(text) == text


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=12))
def test_taking_one_apostrophe_off_gives_back_any_text(text):
    assert unguarded(guarded(text)) == text
    assert not re.match(r"[=+\-@\t\r]", guarded(text))


@pytest.mark.parametrize("bom", [False, True])
def test_a_plain_csv_reader_gets_back_what_was_written(bom):
    rows = [{"name": text, "count": Fraction(n, 3)} for n, text in enumerate([*ODD, *PLAIN, 'a "b", c\nd'])]
    raw = spreadsheets.csv_bytes(TWO, rows, bom=bom)
    assert raw.startswith(b"\xef\xbb\xbf") is bom
    head, *read = list(csv.reader(io.StringIO(raw.decode("utf-8-sig"), newline="")))
    assert head == ["name", "count"]
    assert [unguarded(name) for name, _ in read] == [row["name"] for row in rows]
    assert [number for _, number in read][:5] == ["0", "0.333333", "0.666667", "1", "1.333333"]


def test_pasted_text_has_no_tab_or_line_inside_a_cell():
    text = spreadsheets.tsv_text(TWO, [{"name": "a\tb\nc", "count": 2}, {"name": "=x", "count": None}])
    assert text == "name\tcount\na b c\t2\n'=x\t\n"
    assert spreadsheets.tsv_text(TWO[:1], [{"name": '"North" den'}]) == "name\n'\"North\" den\n"


def test_a_workbook_keeps_text_as_text_and_numbers_as_numbers():
    rows = tuple({"name": text, "count": 2} for text in [*ODD, *PLAIN])
    book = openpyxl.load_workbook(io.BytesIO(spreadsheets.xlsx_bytes([Sheet("Odd", TWO, rows)])))
    page = book["Odd"]
    assert page.freeze_panes == "A2"
    read = [row[0] for row in page.iter_rows(min_row=2)]
    assert [cell.value.replace("_x000D_", "\r") for cell in read] == [row["name"] for row in rows]
    assert {cell.data_type for cell in read} == {"s"}
    assert {row[1].data_type for row in page.iter_rows(min_row=2)} == {"n"}


# A whole job


@pytest.fixture
def people(db):
    return people_of(ShopFactory())


@pytest.fixture
def job(people):
    """Two rooms, the second with a name that a spreadsheet would make a date of."""
    shop = people[Role.OWNER].shop
    first = practice_room(shop)
    issue(first)
    second = practice_room(shop, job=first.job, name="3-4")
    issue(second)
    return first.job


def sheet(client, job, form, **asked):
    return client.get(reverse("takeoff_sheet", args=[job.pk, form]), asked)


def read_csv(answer):
    return list(csv.DictReader(io.StringIO(answer.content.decode(), newline="")))


def test_rooms_rows_add_up_to_the_items_rows(client, people, job):
    lead = sign_in(client, people[Role.CREW_LEAD])
    rooms, items = (read_csv(sheet(lead, job, "csv", rows=rows)) for rows in ("rooms", "items"))
    added = {}
    for row in rooms:
        added[row["item_code"]] = added.get(row["item_code"], 0) + Decimal(row["qty_gross"])
    told = {row["item_code"]: Decimal(row["qty_gross"]) for row in items if row["qty_gross"]}
    assert added.keys() == told.keys()
    assert all(abs(added[key] - told[key]) < Decimal("0.00001") for key in told)
    assert {unguarded(row["room_name"]) for row in rooms} == {"Snug", "3-4", ""}


def test_whoever_may_not_see_prices_gets_no_such_column_in_any_file(client, people, job):
    lead = sign_in(client, people[Role.CREW_LEAD])
    assert list(read_csv(sheet(lead, job, "csv"))[0]) == [name for name in ORDER if name not in OFFICE]
    told = json.loads(sheet(lead, job, "json").content)
    assert not OFFICE & set(told["columns"])
    assert not OFFICE & set(told["rows"][0])
    book = openpyxl.load_workbook(io.BytesIO(sheet(lead, job, "xlsx").content))
    for page in book:
        assert not OFFICE & {cell.value for cell in page[1]}
    assert list(read_csv(sheet(sign_in(client, people[Role.ESTIMATOR]), job, "csv"))[0]) == ORDER


def recalculated(book, page, formula):
    """A reader of its own: SUM over a column, SUMIFS over another sheet's, N(a)+N(b) in a row."""
    if found := re.fullmatch(r"=SUM\(([A-Z]+)2:\1(\d+)\)", formula):
        cells = page[f"{found[1]}2:{found[1]}{found[2]}"]
        return sum(value_of(book, page, cell) for (cell,) in cells)
    if found := re.fullmatch(r"=N\(\w+\)(?:\+N\(\w+\))*", formula):
        return sum(value_of(book, page, page[at]) for at in re.findall(r"N\((\w+)\)", formula))
    sheet_name, what, last, by, key = re.fullmatch(
        r"=SUMIFS\('(\w+)'!\$([A-Z]+)\$2:\$\2\$(\d+),'\1'!\$([A-Z]+)\$2:\$\4\$\3,(\w+)\)", formula
    ).groups()
    there, wanted = book[sheet_name], page[key].value
    return sum(
        value_of(book, there, there[f"{what}{row}"])
        for row in range(2, int(last) + 1)
        if there[f"{by}{row}"].value == wanted
    )


def value_of(book, page, cell):
    if isinstance(cell.value, str) and cell.value.startswith("="):
        return recalculated(book, page, cell.value)
    return cell.value or 0


def test_a_workbook_recalculated_by_another_reader_has_the_same_sums(client, people, job):
    content = sheet(sign_in(client, people[Role.OWNER]), job, "xlsx").content
    formulas, values = (openpyxl.load_workbook(io.BytesIO(content), data_only=shown) for shown in (False, True))
    checked = 0
    for page in formulas:
        for row in page.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.value.startswith("="):
                    stored = values[page.title][cell.coordinate].value
                    assert recalculated(formulas, page, cell.value) == pytest.approx(stored, abs=1e-6)
                    checked += 1
    assert checked > 20


def test_a_kept_takeoff_is_taken_away_as_it_was_kept(client, people, job):
    owner = sign_in(client, people[Role.OWNER])
    owner.post(reverse("kept_takeoffs", args=[job.pk]), {"label": ""})
    before = sheet(owner, job, "csv", takeoff="1").content
    Room.objects.of(job.shop).filter(name="3-4").update(name="Hall")
    assert sheet(owner, job, "csv", takeoff="1").content == before
    assert sheet(owner, job, "csv").content != before
    for asked in ("2", "x", "9" * 40):
        assert sheet(owner, job, "csv", takeoff=asked).status_code == 404
    assert sheet(owner, job, "pdf").status_code == 404
