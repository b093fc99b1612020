"""Rows 25 to 36: files that somebody hands in, and those that go out to a spreadsheet."""

import io
import os
import struct
import tempfile
import zipfile
import zlib

import openpyxl
import pypdfium2
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from projects.files import pdfs, pictures, store
from projects.pasting.reading import Unreadable, table_of
from reports import spreadsheets
from reports.estimating.sheet_rows import Column
from reports.prices.files import CannotRead, read_file
from reports.web import as_file

FORMULAS = [
    '=HYPERLINK("http://evil.example","x")', "+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "\n=1",
    "＝1", "＋1", "－1", "＠A", "|cmd", "=cmd|' /C calc'!A0", "  =1", "3-4", "1/2", "'quoted",
]  # fmt: skip
TWO = (Column("name"), Column("price", "number"))


@pytest.mark.parametrize("text", FORMULAS, ids=repr)
def test_row_25_a_formula_goes_out_guarded_and_comes_back_as_it_was(text):
    raw = spreadsheets.csv_bytes(TWO, [{"name": text, "price": -12}])
    assert raw.split(b"\r\n", 1)[1].lstrip(b'"').startswith(b"'")
    assert b",-12\r\n" in raw  # a number below zero stays a number
    [_head, (_line, cells)] = read_file("ours.csv", raw).rows
    assert cells == [" ".join(text.split()), "-12"]


def test_row_25_an_apostrophe_of_somebody_else_s_list_stays():
    [_head, (_line, cells)] = read_file("theirs.csv", b"name,price\n'tis a plate,1\n").rows
    assert cells == ["'tis a plate", "1"]


def test_row_25_in_a_workbook_every_such_text_is_a_text():
    rows = tuple({"name": text, "price": -12} for text in FORMULAS)
    book = openpyxl.load_workbook(io.BytesIO(spreadsheets.xlsx_bytes([spreadsheets.Sheet("Odd", TWO, rows)])))
    read = list(book["Odd"].iter_rows(min_row=2))
    assert {(name.data_type, price.data_type, price.value) for name, price in read} == {("s", "n", -12)}


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"name,price\n" + b"plate,1\n" * 1_000_000, "over 5 MB"),
        (b"name,price\n" + b"x" * 4_000_000, "Line 2 can't be read"),
        (b'name,price\n"plate,1\nbox,2\n', "Line 2 can't be read"),
        (b'name,price\n"plate"s,1\nbox,2\n', "Line 2 can't be read"),
        (b"name,price\npla\0te,1\n", "no CSV"),
        ("name,price\nplate,1\n".encode("utf-16")[:-1], "letters in it"),
        (b"\xff\xfe" + "name,price\nplate,1\n".encode("utf-16-be") + b"\xd8", "letters in it"),
    ],
    ids=["rows", "one line", "never closed", "half closed", "NUL", "cut", "half a letter"],
)
def test_row_26_a_list_that_can_not_be_read_whole_is_refused(content, says):
    with pytest.raises(CannotRead, match=says):
        read_file("list.csv", content)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("name,level\n\"Den,Main\nHall,Main", "quote"),
        ("name,name\nDen,Hall", "twice"),
        ("name,shape of the sofa\nDen,x", "heading"),
        ("x" * 200_000, "broken"),
        ("\n\n", "empty"),
    ],
    ids=["never closed", "a column twice", "a column nobody knows", "one endless cell", "nothing"],
)  # fmt: skip
def test_row_26_pasted_rows_that_can_not_be_read_whole_are_refused(text, code):
    with pytest.raises(Unreadable) as refused:
        table_of(text)
    assert refused.value.code == code


def packed(parts, **how):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as book:
        for name, content in parts:
            book.writestr(name, content, **how)
    return out.getvalue()


def workbook(sheet="", **more):
    """A plain workbook with one of its parts in other words."""
    out = io.BytesIO()
    book = openpyxl.Workbook()
    book.active.append(["name", "price"])
    book.active.append(["plate", 1])
    book.save(out)
    parts = {name: zipfile.ZipFile(out).read(name) for name in zipfile.ZipFile(out).namelist()} | more
    if sheet:
        parts["xl/worksheets/sheet1.xml"] = sheet
    return packed(parts.items())


def lying(content, said):
    """The first part says that it unpacks to so many bytes."""
    raw = bytearray(content)
    at = raw.index(b"PK\x01\x02")
    struct.pack_into("<I", raw, at + 24, said)
    struct.pack_into("<I", raw, raw.index(b"PK\x03\x04") + 22, said)
    return bytes(raw)


def locked():
    raw = bytearray(workbook())
    at = raw.index(b"PK\x01\x02")
    raw[at + 8] |= 1
    return bytes(raw)


@pytest.mark.parametrize(
    "content",
    [
        packed([("xl/worksheets/sheet1.xml", b"0" * 90_000_000)]),
        packed([("inner.zip", packed([("a", b"0" * 1_000_000)]))]),
        packed([(str(n), b"") for n in range(1_001)]),
        packed([("../../../../tmp/canary", b"x"), ("/etc/canary", b"x")]),
        lying(packed([("xl/worksheets/sheet1.xml", b"0" * 1_000_000)]), 10),
        lying(packed([("xl/worksheets/sheet1.xml", b"0" * 1_000)]), 2**32 - 2),
        locked(),
        workbook()[:-60],
    ],
    ids=["a bomb", "nested", "many parts", "ways out", "says less", "says more", "locked", "cut"],
)
def test_row_27_a_packed_file_is_refused_and_leaves_nothing_behind(content):
    before = set(os.listdir(tempfile.gettempdir()))
    with pytest.raises(CannotRead):
        read_file("list.xlsx", content)
    assert not os.path.exists("/tmp/canary") and not os.path.exists("/etc/canary")
    assert not {name for name in set(os.listdir(tempfile.gettempdir())) - before if "openpyxl" in name}


LAUGHS = b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
OUTSIDE = b'<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>'
SHEET = b"""<?xml version="1.0"?>%s<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>
<row r="1"><c r="A1" t="inlineStr"><is><t>name &%s;</t></is></c></row>
<row r="2"><c r="A2" t="inlineStr"><is><t>plate</t></is></c></row></sheetData></worksheet>"""


@pytest.mark.parametrize("entities", [SHEET % (LAUGHS, b"b"), SHEET % (OUTSIDE, b"a")], ids=["laughs", "a file"])
def test_row_28_entities_are_never_read(entities):
    assert openpyxl.DEFUSEDXML
    with pytest.raises(CannotRead, match="can't be read"):
        read_file("list.xlsx", workbook(entities))


@pytest.mark.parametrize("name", ["xl/vbaProject.bin", "xl/VBAPROJECT.BIN"])
def test_row_28_a_workbook_with_macros_is_refused_by_that(name):
    with pytest.raises(CannotRead, match="macros"):
        read_file("list.xlsm", workbook(**{name: b"macro"}))


def test_row_28_the_plain_workbook_is_read():
    assert [cells for _line, cells in read_file("list.xlsx", workbook()).rows] == [["name", "price"], ["plate", "1"]]


def huge_png(wide, high):
    """A picture of nothing but its size: the pixels are not there."""
    head = struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0)
    chunk = struct.pack(">I", 13) + b"IHDR" + head + struct.pack(">I", zlib.crc32(b"IHDR" + head))
    data = zlib.compress(b"\0" * 100)
    return b"\x89PNG\r\n\x1a\n" + chunk + struct.pack(">I", len(data)) + b"IDAT" + data + b"\0\0\0\0" + b"\0" * 12


def picture(kind, **more):
    out = io.BytesIO()
    Image.new("RGB", (8, 6), "red").save(out, kind, **more)
    return out.getvalue()


NO_PICTURES = {
    "14,000 square": huge_png(14_000, 14_000),
    "a width of thousand millions": huge_png(2**31 - 1, 1),
    "SVG": b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
    "HTML": b"<html><script>alert(1)</script>",
    "a layered drawing": b"8BPS\x00\x01" + b"\0" * 40,
    "a star map": b"SIMPLE  =                    T" + b" " * 2880,
    "GIF": picture("GIF"),
    "TIFF": picture("TIFF"),
    "BMP": picture("BMP"),
    "half a JPEG": picture("JPEG")[:200],
    "nothing": b"",
}


@pytest.mark.parametrize("name", NO_PICTURES)
def test_row_35_what_is_no_picture_of_the_three_kinds_is_refused(name):
    with pytest.raises(pictures.NoPicture):
        pictures.rewritten(SimpleUploadedFile("me.jpg", NO_PICTURES[name], "image/jpeg"))


def test_row_35_words_behind_or_within_a_picture_stay_behind():
    hidden = picture("JPEG", comment=b"<script>canary</script>") + b"<html>canary</html>"
    kept = pictures.as_jpeg(pictures.rewritten(SimpleUploadedFile("me.jpg", hidden)))
    assert b"canary" not in kept and kept.startswith(b"\xff\xd8")


def test_row_35_of_ten_thousand_pictures_in_one_the_first_is_taken():
    frames = [Image.new("RGB", (4, 4), (n % 256, n // 256, 0)) for n in range(300)]
    out = io.BytesIO()
    frames[0].save(out, "WEBP", save_all=True, append_images=frames[1:])
    assert pictures.rewritten(SimpleUploadedFile("me.webp", out.getvalue())).size == (4, 4)


NAMES = [
    "../../x", "C:\\x", "CON", ".htaccess", "x" * 400, "a\r\nSet-Cookie: b", "\u202egpj.exe", "", "/", "~",
    'a"; b="c', "Küche",
]  # fmt: skip


def test_row_36_a_kept_file_has_a_name_nobody_chose():
    kept = store.new_name("jpg")
    assert kept != store.new_name("jpg")
    # 18 random bytes are 24 letters of base64 (RFC 4648, 5), a point and the ending
    assert set(kept) <= set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.") and len(kept) == 28
    assert store.path_of(7, kept).parent == store.folder_of(7)


@pytest.mark.parametrize("name", NAMES, ids=repr)
def test_row_36_a_file_to_be_saved_has_a_plain_name_in_its_header(name):
    answer = as_file(b"x", "application/pdf", name)
    told = answer["Content-Disposition"]
    assert told.isprintable() and "/" not in told and "\\" not in told and ".." not in told
    assert told.count('"') == 2 and told.count(";") == 1


def test_a_maker_s_sheet_that_was_damaged_where_it_is_kept_is_told_and_breaks_nothing():
    document, out = pypdfium2.PdfDocument.new(), io.BytesIO()
    document.new_page(200, 200)
    document.save(out)
    assert pdfs.page_count(pdfs.bound(out.getvalue(), [out.getvalue()])) == 2
    for damaged in (b"", b"%PDF-1.7", out.getvalue()[40:]):
        with pytest.raises(pdfs.NoPdf, match="Hand it in again"):
            pdfs.bound(out.getvalue(), [damaged])
