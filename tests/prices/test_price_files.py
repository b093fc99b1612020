"""A supplier's list comes in: what can be read is read one way only, and what can't is told by line with a remedy."""

import datetime as dt
import io
import zipfile
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import Workbook

from layout.engine.lengths import feet, mm
from projects.catalogue.tables import takeoff_rules
from reports.estimating.price_import import Known, PriceNow, Row, difference, guess
from reports.estimating.price_reading import Unreadable, read_amount, read_day, read_size
from reports.prices import imports
from reports.prices.files import CannotRead, read_file
from reports.prices.models import ColumnMeaning, Item, Price, PriceImport
from reports.prices.queries import price_book
from tests.factories import DAY, ItemFactory, ItemPackFactory, PriceFactory

ADDRESS = "/prices/import/"


# One cell


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("1234.50", "1234.50"),
        ("$1,234.50", "1234.50"),
        ("1.234,50", "1234.50"),
        ("1 234,5", "1234.50"),
        ("1'234.50", "1234.50"),
        ("USD 12", "12.00"),
        ("12,50", "12.50"),
        ("1,234,567", None),  # over the most
        ("12,345", None),
        ("0.07", "0.07"),
    ],
)
def test_an_amount_is_read_as_people_write_it(text, amount):
    if amount is None:
        with pytest.raises(Unreadable):
            read_amount(text, "USD")
    else:
        assert read_amount(text, "USD") == Decimal(amount)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1,234", "can be read as 1234.00 or as 1.234"),
        ("3.255", "can be read as"),
        ("0.125", "larger pack"),
        ("-4.00", "less than nothing"),
        ("(4.00)", "less than nothing"),
        ("1e-9", "no price"),
        ("NaN", "no price"),
        ("inf", "no price"),
        ("€12.00", "in EUR; the shop's prices are in USD"),
        ("12 GBP", "GBP"),
        ("call", "no price"),
        ("0", "mostly means: ask"),
        ("9999999", "over the most"),
        ("=B2*1.2", "formula"),
        ("2026-05-03 (date)", "made a date"),
        ("1.2.3", "no amount"),
        ("٤", "no price"),
    ],
)
def test_an_amount_that_is_none_or_reads_two_ways_is_refused_with_the_remedy(text, says):
    with pytest.raises(Unreadable) as refused:
        read_amount(text, "USD")
    assert says in str(refused.value)


def test_a_pack_is_pieces_and_a_coil_has_its_unit():
    assert [read_size(text, cable=False) for text in ("", "100", "box of 100", "1,000")] == [1, 100, 100, 1000]
    assert read_size("250 ft", cable=True) == feet(250)
    assert read_size("75 m coil", cable=True) == mm(75_000)
    for text, cable in (("250", True), ("", True), ("0", False), ("many", False), ("200000", False), ("0.5 ft", True)):
        with pytest.raises(Unreadable):
            read_size(text, cable)


def test_a_day_is_read_one_way_only():
    assert read_day("2026-05-03") == read_day("2026-05-03 (date)") == dt.date(2026, 5, 3)
    for text in ("5/3/2026", "3.5.26", "May", ""):
        with pytest.raises(Unreadable):
            read_day(text)


# A file's rows against the list

PLATE = Known("plate", "Plate", "each")
CABLE = Known("cable:14/2", "14/2 cable with ground", "length")
HEADER = ("Part", "Description", "Pack", "Price")
MEANS = {0: "code", 1: "name", 2: "pack", 3: "price"}


def compared(*rows, now=None, known=(PLATE, CABLE)):
    numbered = [Row(line, cells) for line, cells in enumerate(rows, start=2)]
    return difference(
        numbered, HEADER, MEANS, {item.key: item for item in known}, now or {}, currency="USD", on=DAY, source="list"
    )


def test_a_dry_run_tells_new_changed_unchanged_and_what_the_file_leaves_alone():
    now = {
        ("plate", 1): PriceNow(Decimal("2.00"), DAY),
        ("plate", 10): PriceNow(Decimal("18.00"), DAY),
        ("plate", 100): PriceNow(Decimal("150.00"), DAY),
    }
    found = compared(
        ("plate", "", "1", "2.10"), ("plate", "", "10", "18"), ("cable:14/2", "", "250 ft", "$139.00"), now=now
    )
    assert [(e.line, e.before.amount, e.amount) for e in found.changed] == [(2, Decimal("2.00"), Decimal("2.10"))]
    assert [e.size for e in found.unchanged] == [10]
    assert [(e.item.key, e.size) for e in found.new] == [("cable:14/2", feet(250))]
    assert [(item.key, size) for item, size, _price in found.untouched] == [("plate", 100)]
    assert found.errors == ()


def test_a_plugged_figure_is_changed_by_a_real_price_of_the_same_amount():
    found = compared(("plate", "", "", "2.00"), now={("plate", 1): PriceNow(Decimal("2.00"), DAY, plugged=True)})
    assert len(found.changed) == 1


def test_every_row_that_can_not_be_taken_is_told_by_its_line_and_column():
    found = compared(
        ("plate", "", "", "free"), ("nothing-like-it", "", "", "2"), ("", "", "", "3"), ("cable:14/2", "", "250", "9"),
        ("plate", "", "", "2"), ("plate", "", "", "3"), ("plate", "", "", ""),
    )  # fmt: skip
    assert [(error.line, error.column) for error in found.errors] == [
        (2, "Price"), (3, "Part"), (4, "Description"), (5, "Pack"), (7, "Price"),
    ]  # fmt: skip
    assert "costs 2.00 in line 6 and 3.00 here" in found.errors[-1].message


def test_what_the_list_does_not_know_becomes_an_item_of_the_shops_own_found_again_by_its_code():
    [entry] = compared(("LIFT-19", "Lift, a day", "", "285")).new
    assert (entry.item.key, entry.new_item) == ("own:lift-19", True)
    known = Known("own:lift-19", "Lift, a day", "each")
    [again] = compared(("LIFT-19", "", "", "290"), known=(known,)).new
    assert (again.item, again.new_item) == (known, False)


def test_columns_are_guessed_by_their_names():
    assert [guess(name) for name in ("Part No.", "DESCRIPTION", "Pack Qty", "Unit Price", "Color")] == [
        "code", "name", "pack", "price", "",
    ]  # fmt: skip


# Files


def xlsx(*rows, hidden=()):
    book = Workbook()
    for row in rows:
        book.active.append(row)
    for name in hidden:
        book.create_sheet(name).sheet_state = "hidden"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_a_spreadsheet_gives_its_numbers_as_text_and_marks_dates_and_formulas():
    content = xlsx(
        ("Part", "Pack", "Price"), ("plate", dt.date(2026, 1, 2), 2.5), ("dimmer", 1, "=B3*2"), hidden=["old prices"]
    )
    sheet = read_file("list.xlsx", content)
    assert sheet.rows[1:] == [(2, ["plate", "2026-01-02 (date)", "2.5"]), (3, ["dimmer", "1", "=B3*2"])]
    assert sheet.left_out == ("hidden sheet old prices",)


def test_rows_below_what_a_spreadsheet_says_of_itself_are_read_and_those_below_its_last_row_are_not():
    before, out = io.BytesIO(xlsx(("Part", "Price"), ("plate", 2), ("dimmer", 30))), io.BytesIO()
    with zipfile.ZipFile(before) as said, zipfile.ZipFile(out, "w") as after:
        for name in said.namelist():
            part = said.read(name).replace(b'ref="A1:B3"', b'ref="A1"')
            if name.endswith("sheet1.xml"):
                part = part.replace(b"</sheetData>", b'<row r="9000000000000"><c><v>1</v></c></row></sheetData>')
            after.writestr(name, part)
    assert read_file("list.xlsx", out.getvalue()).rows[1:] == [(2, ["plate", "2"]), (3, ["dimmer", "30"])]


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_a_csv_is_read_by_whatever_stands_between_its_cells(delimiter):
    text = "\ufeffPart#Price\n\nplate#2.10\n".replace("#", delimiter)
    assert read_file("a.csv", text.encode()).rows == [(1, ["Part", "Price"]), (3, ["plate", "2.10"])]


def test_hidden_characters_of_a_list_are_left_out():
    rows = read_file("a.csv", "\ufeffPart,Price\nbell\x07 \u202elamp,2\nzero\u200bwidth,3\n\u200b,\n".encode()).rows
    assert rows[1:] == [(2, ["bell lamp", "2"]), (3, ["zerowidth", "3"])]


def test_items_of_the_shops_own_are_kept_apart_by_all_that_is_written():
    """Letters that are not Latin, and signs, tell two items apart as well."""
    names = ["盒子", "燈", "Box A!", "Box A?", "Box A", "Étrier", "trier"]
    rows = [Row(line, (name, "1.00")) for line, name in enumerate(names, 2)]
    found = difference(rows, ("Name", "Price"), {0: "name", 1: "price"}, {}, {}, currency="USD", on=DAY, source="list")
    assert [entry.item.name for entry in found.new] == names and not found.errors
    assert found.new[4].item.key == "own:box-a"


def bomb():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b"0" * 100_000_000)
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "empty"),
        (b"Part,Price\n", "no prices in it"),
        (b"x" * 5_000_001, "over 5 MB"),
        (b"PK\x03\x04 not really", "can't be read"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 old", "Save it as XLSX"),
        (b"a\0b,c\n1,2\n", "no CSV"),
        (bomb(), "far larger than a price list"),
        (b"Part,Price\n" + b"plate,1\n" * 10_001, "over 10,000 rows"),
    ],
    ids=["empty", "header only", "large", "no zip", "old format", "binary", "bomb", "rows"],
)
def test_a_file_that_is_no_price_list_is_refused_with_what_to_do(content, says):
    with pytest.raises(CannotRead, match=says):
        read_file("prices", content)


# On the page


def upload(client, text):
    file = SimpleUploadedFile("spring.csv", text.encode(), "text/csv")
    answer = client.post(ADDRESS, {"file": file, "source": "Spring list", "on": "2026-05-03"})
    assert answer.status_code == 302, answer.context["form"].errors
    return answer.url


def columns(answer, **changes):
    return {f"column_{c['n']}": c["means"] for c in answer.context["columns"]} | {
        "digest": answer.context["found"].digest if answer.context["found"] else "", **changes,
    }  # fmt: skip


def test_a_file_is_applied_whole_after_its_difference_was_seen(owner, shop):
    plate = PriceFactory(pack__item=ItemFactory(shop=shop, key="plate", name="Plate"), amount="2.00", on=DAY)
    address = upload(owner, "Code,Name,Pack,List\nplate,,,2.10\ncable:14/2,,250 ft,139\nLIFT,Lift a day,,285\n")
    first = owner.get(address)
    assert "Which column holds the price" in first.content.decode()
    chosen = {"column_0": "code", "column_1": "name", "column_2": "pack", "column_3": "price"}
    looked = owner.post(address, {**chosen, "do": "look"})
    assert Price.objects.of(shop).count() == 1, "looking writes nothing"
    assert owner.post(address, columns(looked, do="apply")).url == reverse("price_list")
    book = price_book(shop).items
    assert {key: [str(pack.price) for pack in item.packs] for key, item in book.items()} == {
        "plate": ["2.10"], "cable:14/2": ["139.00"], "own:lift": ["285.00"],
    }  # fmt: skip
    assert Price.objects.of(shop).filter(pack=plate.pack).count() == 2, "the old price stays in the history"
    assert ColumnMeaning.objects.of(shop).get(header="list").means == "price"
    again = owner.get(upload(owner, "Code,Name,Pack,List\nplate,,,2.10\n"))
    assert [column["means"] for column in again.context["columns"]] == ["code", "name", "pack", "price"]
    assert len(again.context["found"].unchanged) == 1


def test_one_row_that_can_not_be_read_holds_all_of_them_back(owner, shop):
    address = upload(owner, "Code,Price\nplate,2.10\nplate_of_gold,ask\n")
    looked = owner.get(address)
    assert {error.line for error in looked.context["found"].errors} == {3}
    answer = owner.post(address, columns(looked, do="apply"))
    assert answer.status_code == 409
    assert Price.objects.of(shop).count() == 0


def test_a_dry_run_is_stale_once_the_list_has_changed(owner, shop):
    item = ItemFactory(shop=shop, key="plate", name="Plate")
    address = upload(owner, "Code,Price\nplate,2.10\n")
    looked = owner.get(address)
    PriceFactory(pack=ItemPackFactory(item=item), amount="2.05")
    answer = owner.post(address, columns(looked, do="apply"))
    assert answer.status_code == 409
    assert "changed since this dry run" in answer.content.decode()
    assert [entry.before.amount for entry in answer.context["found"].changed] == [Decimal("2.05")]
    assert owner.post(address, columns(answer, do="apply")).status_code == 302
    assert price_book(shop).items["plate"].packs[0].price == Decimal("2.10")


def test_a_file_is_applied_once(owner, shop):
    address = upload(owner, "Code,Price\nplate,2.10\n")
    looked = owner.get(address)
    record = PriceImport.objects.of(shop).get()
    found = imports.dry_run(record, imports.columns_of(record), takeoff_rules())
    owner.post(address, columns(looked, do="apply"))
    with pytest.raises(imports.NotOpen):
        imports.apply(record, imports.columns_of(record), takeoff_rules(), digest=found.digest, by=None)
    assert Item.objects.of(shop).get().name == "Plate"
    assert owner.get(address).status_code == 200


def test_a_dropped_file_leaves_no_trace_on_the_list(owner, shop):
    address = upload(owner, "Code,Price\nplate,2.10\n")
    owner.post(address, {"do": "drop"})
    assert Price.objects.of(shop).count() == 0
    assert PriceImport.objects.of(shop).get().state == "dropped"


def test_a_longer_file_takes_no_more_queries(owner, shop, django_assert_max_num_queries):
    for rows in (3, 40):
        text = "Code,Name,Price\n" + "".join(f"P{rows}-{n},Part {rows}-{n},{n}.50\n" for n in range(1, rows + 1))
        address = upload(owner, text)
        looked = owner.get(address)
        with django_assert_max_num_queries(45):
            owner.post(address, columns(looked, do="apply"))
    assert Price.objects.of(shop).count() == 43
