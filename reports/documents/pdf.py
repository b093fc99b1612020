"""The one door to PDF: HTML in, the same bytes out every time, nothing fetched. Must not know what a document is about.

WeasyPrint's own fetcher follows any address a page names, a file on this machine included, so it is never used: only
`data:` and this project's own `asset:` names are answered, and anything else ends the printing.
"""

from __future__ import annotations

import io
import logging
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from hashlib import sha256
from pathlib import Path
from threading import Lock, get_ident
from typing import Any

from django.utils.translation import gettext as _

import projects.platform
import reports
from projects.platform.languages import side_by_side

FONTS = Path(projects.platform.__file__).parent / "static" / "fonts"
STYLES = Path(reports.__file__).parent / "static" / "reports" / "css"
VARIANT = "pdf/ua-1"
LONGEST = 2_000_000  # characters of HTML in one document: some 60 pages of table rows at about 3 ms a row


class CannotPrint(Exception):
    """A document that can't be printed here. The message is for people and names the remedy."""


class RefusedAddress(CannotPrint):
    """A page asked for an address outside this project. It is not fetched."""


@cache
def _assets() -> dict[str, tuple[bytes, str]]:
    """Everything a page may name as asset:name, with its type."""
    fonts = {f"fonts/{path.name}": (_unpacked(path), "font/ttf") for path in FONTS.glob("*.woff2")}
    styles = {f"css/{path.name}": (path.read_bytes(), "text/css; charset=utf-8") for path in STYLES.glob("*.css")}
    return fonts | styles


def _unpacked(font: Path) -> bytes:
    """A web font as TrueType: WeasyPrint would unpack it for every document, a sixth of a card's time."""
    from fontTools.ttLib import woff2

    unpacked = io.BytesIO()
    woff2.decompress(font, unpacked)
    return unpacked.getvalue()


@cache
def _weasyprint() -> Any:
    """WeasyPrint, loaded when something is first printed: it takes about a second and needs Pango."""
    try:
        import weasyprint
    except OSError as missing:
        raise CannotPrint(
            _("PDFs need Pango on this machine: install libpango-1.0-0 and libpangoft2-1.0-0. (%(why)s)")
            % {"why": missing}
        ) from missing
    return weasyprint


@cache
def _fetcher() -> Any:
    _weasyprint()
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

    class Shut(FatalURLFetchingError):
        """Derives from BaseException in WeasyPrint, so that it can't be swallowed on its way out."""

    class Fetcher(URLFetcher):
        def __init__(self) -> None:
            super().__init__(allowed_protocols=("data",), allow_redirects=False, fail_on_errors=True)
            self.refused: list[str] = []  # a drawing's own images are refused without a word reaching us

        def fetch(self, url: str, headers: Any = None) -> Any:
            if url.startswith("data:"):
                return super().fetch(url, headers)
            asset = _assets().get(url.removeprefix("asset:")) if url.startswith("asset:") else None
            if asset is None:
                self.refused.append(url[:80])
                raise Shut(url[:80])
            return URLFetcherResponse(url, asset[0], {"Content-Type": asset[1]})

    return Fetcher


@contextmanager
def _shut(name: str, *fetchers: Any) -> Iterator[None]:
    """An address that a document's fetcher refused ends the printing, wherever WeasyPrint met it."""
    from weasyprint.urls import FatalURLFetchingError

    with _complaints() as complaints, suppress(FatalURLFetchingError):
        yield
    for url in (url for fetcher in fetchers for url in fetcher.refused):
        raise RefusedAddress(
            _("%(name)s asks for %(url)s, which is not part of this program. Nothing was fetched.")
            % {"name": name, "url": url}
        )
    if complaints:
        raise CannotPrint(
            _("%(name)s would lack something on paper: %(why)s") % {"name": name, "why": complaints[0]}
        )


@contextmanager
def _complaints() -> Iterator[list[str]]:
    """What WeasyPrint could not draw: it logs that and prints the page without it, which a card must never do."""
    heard: list[str] = []
    here = get_ident()

    class Ear(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            if record.thread == here:
                heard.append(record.getMessage())

    ear, log = Ear(logging.ERROR), logging.getLogger("weasyprint")
    log.addHandler(ear)
    try:
        yield heard
    finally:
        log.removeHandler(ear)


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A document set on its pages and not yet written. Writing it costs less than a third of laying it out."""

    name: str
    document: Any  # a weasyprint Document

    @property
    def pages(self) -> int:
        return len(self.document.pages)

    def high(self, key: str) -> float:
        """How much of the pages' height the element with this id takes, in mm; 0 when there is none."""
        high = 0.0
        for page in self.document.pages:
            boxes = page._page_box.descendants()  # the element's own box comes before the nameless ones inside it
            found = next((box for box in boxes if box.element is not None and box.element.get("id") == key), None)
            high += found.margin_height() if found else 0
        return high * 25.4 / 96


def lay_out(name: str, html: str) -> LaidOut:
    """A page's whole HTML, with its lang and title, set on paper. Raises RefusedAddress, CannotPrint."""
    html = side_by_side(html)
    if len(html) > LONGEST:
        raise CannotPrint(_("%(name)s is too long for one print. Print it in parts.") % {"name": name})
    fetcher = _fetcher()()
    with _shut(name, fetcher):
        page = _weasyprint().HTML(string=html, url_fetcher=fetcher, base_url="asset:")
        return LaidOut(name, page.render(pdf_variant=VARIANT))


def write(
    documents: Sequence[LaidOut], *, identifier: str, created: datetime, corners: LaidOut | None = None,
    alone: bool = True,
) -> bytes:  # fmt: skip
    """One PDF of these documents in order, tagged for reading aloud (PDF/UA-1).

    Args:
        identifier: what makes this print the same as another; created: when what it says was settled.
        corners: as many pages, whose bottom right corners take the place of the documents' own.
        alone: False where others' pages are bound behind these: tagged as far as it is ours, the whole claims nothing.
    Returns: the same bytes for the same arguments, on any day and any machine with the same fonts.
    Raises: RefusedAddress, CannotPrint.
    """
    if not documents:
        raise CannotPrint(_("There is nothing to print."))
    with _shut(", ".join(one.name for one in documents), *(one.document.url_fetcher for one in documents)):
        pages = [page for one in documents for page in one.document.pages]
        for page, corner in zip(pages, corners.document.pages if corners else (), strict=corners is not None):
            _replace_corner(page._page_box, corner._page_box)
        book = documents[0].document.copy(pages)
        book.metadata.created = book.metadata.modified = created.isoformat(timespec="seconds")
        kind = {"pdf_variant": VARIANT} if alone else {"pdf_variant": None, "pdf_tags": True}
        return book.write_pdf(**kind, pdf_identifier=sha256(identifier.encode()).digest()[:16])


def render(html_by_document: Mapping[str, str], *, identifier: str, created: datetime) -> bytes:
    """As write(), from a name for messages and the whole HTML of each document."""
    laid_out = [lay_out(name, html) for name, html in html_by_document.items()]
    return write(laid_out, identifier=identifier, created=created)


def _replace_corner(page: Any, other: Any) -> None:
    """Move another page's bottom right corner here, to where this page's own stood."""
    own, new = _corner(page), _corner(other)
    new.translate(
        own.position_x + own.margin_width() - new.position_x - new.margin_width(),
        own.children[0].position_y - new.children[0].position_y,
    )
    page.children = tuple(new if box is own else box for box in page.children)


def _corner(page: Any) -> Any:
    return next(box for box in page.children if getattr(box, "at_keyword", "") == "@bottom-right")


_PICTURES = Lock()  # the PDF library that draws pictures is not safe to call from two threads


def picture(pdf: bytes, *, dots_per_inch: int = 150) -> bytes:
    """Page one of a PDF as a PNG, to send to a phone."""
    import pypdfium2

    with _PICTURES:
        document = pypdfium2.PdfDocument(pdf)
        try:
            image = document[0].render(scale=dots_per_inch / 72, grayscale=True).to_pil()
        finally:
            document.close()
    kept = io.BytesIO()
    image.save(kept, "PNG", optimize=True)
    return kept.getvalue()
