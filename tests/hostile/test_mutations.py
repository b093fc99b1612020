"""Every reader of what people hand in, on files that were good once: read, or refused in words, and nothing else.

Some hundred mutations each in the usual run; a million of each text reader under `long` (MUTATIONS in the environment
says another number).
"""

import io
import os
import random

import openpyxl
import pypdfium2
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image
from rest_framework.exceptions import APIException

from layout.engine.lengths import LengthError, Style, Unit
from layout.engine.light import files
from layout.engine.light.values import LightError
from layout.engine.reading import read_length
from projects.files import pdfs, pictures
from projects.pasting.reading import Unreadable, table_of
from projects.platform.api.strict_json import StrictJSONParser
from reports.prices.files import CannotRead, read_file
from tests.engine.light_file_texts import cosine, text_of

FEW = {"picture": 150, "workbook": 40, "pdf": 4}
MANY = {"picture": 20_000, "workbook": 5_000, "pdf": 300}
BYTES = [
    b"\0", b"\xff", b'"', b"'", b",", b"\n", b"\r\n", b"\t", b"-", b"9" * 40, b"1e309", b"NaN", b"\xed\xa0\x80", b"{",
    b"[" * 40, b"\\u0000", "½′″١".encode(), b"1/0", b"=", b"<", b"&a;", b"TILT=", b"\x80", b"\xef\xbb\xbf",
]  # fmt: skip


def mutated(good, dice):
    """A good file with one to eight things done to it that wires, disks, editors and people with intent do."""
    raw = bytearray(good)
    for _step in range(dice.randint(1, 8)):
        at = dice.randrange(len(raw) + 1)
        far = min(len(raw), at + dice.choice((1, 1, 2, 8, 100)))
        what = dice.randrange(6)
        if what == 0 and at < len(raw):
            raw[at] ^= 1 << dice.randrange(8)
        elif what == 1:
            raw[at:at] = dice.choice(BYTES)
        elif what == 2:
            del raw[at:far]
        elif what == 3:
            raw[at:at] = raw[at:far]
        elif what == 4:
            raw[at:far] = dice.choice(BYTES)
        elif what == 5 and dice.random() < 0.1:
            del raw[at:]
    return bytes(raw)


def picture():
    out = io.BytesIO()
    tags = Image.Exif()
    tags[0x0112] = 6
    Image.linear_gradient("L").resize((40, 30)).convert("RGB").save(out, "JPEG", exif=tags)
    return out.getvalue()


def workbook():
    book, out = openpyxl.Workbook(), io.BytesIO()
    for row in (["Part", "Price", "From"], ["plate", 1.5, "2026-05-03"], ["=1+1", -2, None]):
        book.active.append(row)
    book.save(out)
    return out.getvalue()


def paper():
    document, out = pypdfium2.PdfDocument.new(), io.BytesIO()
    document.new_page(200, 200)
    document.save(out)
    return out.getvalue()


def text(raw):
    return raw.decode("utf-8", "replace")


LENGTHS = ["12' 6 1/2\"", "148 1/2", "12 ft 6.5 in", "12′ 6½″", "3,81 m", "3810 mm", "12-6-1/2"]
LIST = b'Part,Price,From\n"plate, ""new""",1.50,2026-05-03\nbox;x,2,\n'
ROOMS = b"Room\tLevel\tWidth\tLength\nDen\tMain\t12' 6\"\t148 1/2\nHall\t\"Up\tstairs\"\t10 ft\t3 m\n"
BODY = b'{"name": "Den \\u00e9", "rows": [1, 2.5, -3e4], "deep": {"a": [null, true, {"b": "c"}]}, "nm": 3810000000}'
READERS = {
    "length": ([one.encode() for one in LENGTHS], lambda raw: _length(text(raw)), LengthError),
    "body": ([BODY], lambda raw: StrictJSONParser().parse(io.BytesIO(raw)), APIException),
    "list": ([LIST], lambda raw: read_file("list.csv", raw), CannotRead),
    "rooms": ([ROOMS], lambda raw: table_of(text(raw)), Unreadable),
    "light": ([text_of(cosine).encode()], files.read, LightError),
    "picture": ([picture()], lambda raw: pictures.rewritten(SimpleUploadedFile("a.jpg", raw)), pictures.NoPicture),
    "workbook": ([workbook()], lambda raw: read_file("list.xlsx", raw), CannotRead),
    "pdf": ([paper()], lambda raw: pdfs.rewritten(SimpleUploadedFile("a.pdf", raw)), pdfs.NoPdf),
}


def _length(written):
    for unit in Unit:
        for style in Style:
            read_length(written, unit=unit, style=style)


def read_or_refused(name, count, seed):
    """How many of so many mutations were read and how many refused."""
    seeds, read, refusal = READERS[name]
    dice, told = random.Random(seed), [0, 0]
    for _time in range(count):
        raw = mutated(dice.choice(seeds), dice)
        try:
            read(raw)
            told[0] += 1
        except refusal as refused:
            assert str(refused), raw
            told[1] += 1
        except Exception as wrong:
            raise AssertionError(f"{name} broke on {raw!r}: {wrong!r}") from wrong
    return told


@pytest.mark.parametrize("name", READERS)
def test_what_was_changed_on_its_way_is_read_or_refused(name):
    read, refused = read_or_refused(name, FEW.get(name, 400), seed=8)
    assert refused and (read or name == "pdf")


@pytest.mark.long
@pytest.mark.parametrize("name", READERS)
def test_a_million_that_were_changed_are_read_or_refused(name):
    count = int(os.environ.get("MUTATIONS", MANY.get(name, 1_000_000)))
    read, refused = read_or_refused(name, count, seed=int(os.environ.get("SEED", "72")))
    print(f"{name}: {read} read, {refused} refused of {count}")
    assert refused
