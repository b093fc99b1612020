"""Printing fetches nothing: no page can make this machine ask another, or read its own files, whatever people typed."""

import http.server
import io
import threading
from dataclasses import fields, replace
from datetime import UTC, datetime

import pypdf
import pytest

from reports.documents import pdf
from reports.documents.card import card_pdf
from reports.documents.sheet import CheckFirst, CheckLine, Cutout, Zone
from tests.reports.cards import card, den

NOON = datetime(2026, 5, 4, 12, tzinfo=UTC)


@pytest.fixture
def canary():
    """A server on this machine that remembers who asked for what."""
    asked = []

    class Listener(http.server.BaseHTTPRequestHandler):
        def do_GET(self):
            asked.append(self.path)
            self.send_response(200)
            self.end_headers()

        def log_message(self, *_):
            pass

    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Listener)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}", asked
    server.shutdown()
    server.server_close()
    thread.join(timeout=5)


def wants(kind, address):
    body = {
        "image": f'<img alt="x" src="{address}/image">',
        "style": f'<link rel="stylesheet" href="{address}/style">',
        "import": f"<style>@import url({address}/import);</style>",
        "background": f'<p style="background: url({address}/background)">x</p>',
        "font": f'<style>@font-face{{font-family:z;src:url({address}/font)}} p{{font-family:z}}</style><p>x</p>',
        "attachment": f'<link rel="attachment" href="{address}/attachment">',
        "object": f'<object data="{address}/object"></object>',
        "embed": f'<embed src="{address}/embed">',
        "drawing": f'<svg width="9" height="9"><image href="{address}/drawing" width="9" height="9"/></svg>',
    }[kind]
    return f"<!doctype html><html lang=en><title>t</title><body>{body}"


KINDS = ["image", "style", "import", "background", "font", "attachment", "object", "embed", "drawing"]


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_that_names_a_server_is_refused_and_the_server_is_not_asked(kind, canary):
    address, asked = canary
    with pytest.raises(pdf.RefusedAddress, match="Nothing was fetched"):
        pdf.render({"trap": wants(kind, address)}, identifier="x", created=NOON)
    assert asked == []


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_that_names_a_file_of_this_machine_is_refused(kind, tmp_path):
    for name in KINDS:
        (tmp_path / name).write_text("canary")
    with pytest.raises(pdf.RefusedAddress):
        pdf.render({"trap": wants(kind, tmp_path.as_uri())}, identifier="x", created=NOON)


@pytest.mark.parametrize("address", ["secret.txt", "../secret.txt", "/etc/hostname", "asset:../settings.py", "ftp://x/y"])
def test_relative_and_made_up_addresses_are_refused(address):
    html = f'<!doctype html><html lang=en><title>t</title><body><img alt="x" src="{address}">'
    with pytest.raises(pdf.RefusedAddress):
        pdf.render({"trap": html}, identifier="x", created=NOON)


def test_the_canary_can_be_caught(canary):
    """The check above can fail: asked directly, the server does remember."""
    import urllib.request

    address, asked = canary
    urllib.request.urlopen(f"{address}/direct").read()
    assert asked == ["/direct"]


def test_markup_typed_into_any_field_of_a_card_is_printed_as_typed(canary, tmp_path):
    address, asked = canary
    secret = tmp_path / "secret.txt"
    secret.write_text("the canary sang")
    trap = (
        f'"\'></text></svg></style><img src={address}/i><link rel=attachment href={secret.as_uri()}>'
        f"<style>@import url({address}/s)</style>"
    )
    sheet = card(den())
    texts = {one.name: trap for one in fields(sheet) if isinstance(getattr(sheet, one.name), str)}
    texts = {name: text for name, text in texts.items() if name not in ("datum", "pull_at")}
    plan = replace(sheet.plan, door_name=trap, title=trap, description=trap)
    hostile = replace(
        sheet, **texts, plan=plan,
        check=CheckFirst((CheckLine(trap, trap),), trap, trap),
        along=replace(sheet.along, pulled_from=trap, to_wall=trap),
        cutouts=tuple(Cutout(trap, one.kind, trap, trap) for one in sheet.cutouts),
        zones=(Zone(trap, trap),), cautions=(trap,), center_lines=(trap,), findings=(trap,),
    )  # fmt: skip
    read = pypdf.PdfReader(io.BytesIO(card_pdf(hostile)))
    assert asked == []
    assert not read.attachments
    said = "".join(page.extract_text() for page in read.pages)
    assert "<img" in said and "canary" not in said.replace(str(tmp_path), "")


def test_an_asset_and_a_data_address_are_answered():
    dot = "data:image/gif;base64,R0lGODlhAQABAIAAAAAAAP///yH5BAEAAAAALAAAAAABAAEAAAIBRAA7"
    html = (
        '<!doctype html><html lang=en><title>t</title><link rel="stylesheet" href="asset:css/print-fonts.css">'
        f'<body style="font-family: Inter"><img alt="dot" src="{dot}">75 1/4'
    )
    read = pypdf.PdfReader(io.BytesIO(pdf.render({"page": html}, identifier="x", created=NOON)))
    assert "75 1/4" in read.pages[0].extract_text()
    fonts = read.pages[0]["/Resources"]["/Font"].values()
    assert any("Inter" in font.get_object()["/BaseFont"] for font in fonts)


def test_several_documents_make_one_file_in_order_with_fixed_dates():
    page = "<!doctype html><html lang=en><title>{0}</title><body><h1>{0}</h1>"
    documents = {name: page.format(name) for name in ("schedule", "takeoff")}
    once = pdf.render(documents, identifier="24-118", created=NOON)
    assert once == pdf.render(documents, identifier="24-118", created=NOON)
    read = pypdf.PdfReader(io.BytesIO(once))
    assert [one.extract_text().strip() for one in read.pages] == ["schedule", "takeoff"]
    assert read.metadata.creation_date == NOON


def test_no_documents_is_said_rather_than_printed():
    with pytest.raises(pdf.CannotPrint, match="nothing to print"):
        pdf.render({}, identifier="x", created=NOON)


def test_a_document_past_the_limit_is_refused():
    with pytest.raises(pdf.CannotPrint, match="Print it in parts"):
        pdf.render({"book": "x" * (pdf.LONGEST + 1)}, identifier="x", created=NOON)
