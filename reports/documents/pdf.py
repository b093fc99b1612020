"""The one door to PDF: HTML in, the same bytes out every time, nothing fetched. Must not know what a document is about.

WeasyPrint's own fetcher follows any address a page names, a file on this machine included, so it is never used: only
`data:` and this project's own `asset:` names are answered, and anything else ends the printing.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from datetime import datetime
from functools import cache
from hashlib import sha256
from pathlib import Path
from threading import Lock, get_ident
from typing import Any

from django.utils.translation import gettext as _

import projects.platform
import reports

FONTS = Path(projects.platform.__file__).parent / "static" / "fonts"
STYLES = Path(reports.__file__).parent / "static" / "reports" / "css"
LONGEST = 2_000_000  # characters of HTML in one document: some 60 pages of table rows at about 3 ms a row


class CannotPrint(Exception):
    """A document that can't be printed here. The message is for people and names the remedy."""


class RefusedAddress(CannotPrint):
    """A page asked for an address outside this project. It is not fetched."""


@cache
def _assets() -> dict[str, tuple[bytes, str]]:
    """Everything a page may name as asset:name, with its type."""
    fonts = {f"fonts/{path.name}": (path.read_bytes(), "font/woff2") for path in FONTS.glob("*.woff2")}
    styles = {f"css/{path.name}": (path.read_bytes(), "text/css; charset=utf-8") for path in STYLES.glob("*.css")}
    return fonts | styles


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
def _shut(name: str) -> Iterator[Any]:
    """A fetcher for one document; an address it refused ends the printing, wherever WeasyPrint met it."""
    fetcher = _fetcher()()
    from weasyprint.urls import FatalURLFetchingError

    with _complaints() as complaints, suppress(FatalURLFetchingError):
        yield fetcher
    if fetcher.refused:
        raise RefusedAddress(
            _("%(name)s asks for %(url)s, which is not part of this program. Nothing was fetched.")
            % {"name": name, "url": fetcher.refused[0]}
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


def render(html_by_document: Mapping[str, str], *, identifier: str, created: datetime) -> bytes:
    """One PDF of these documents in order, tagged for reading aloud (PDF/UA-1).

    Args:
        html_by_document: a name for messages, and the page's whole HTML with its lang and title.
        identifier: what makes this print the same as another; created: when what it says was settled.
    Returns: the same bytes for the same arguments, on any day and any machine with the same fonts.
    Raises: RefusedAddress, CannotPrint.
    """
    if not html_by_document:
        raise CannotPrint(_("There is nothing to print."))
    whole = ", ".join(html_by_document)
    with _shut(whole) as fetcher:
        printed = [_laid_out(name, html, fetcher) for name, html in html_by_document.items()]
        for document in printed:
            document.metadata.created = document.metadata.modified = created.isoformat(timespec="seconds")
        book = printed[0].copy([page for document in printed for page in document.pages])
        return book.write_pdf(pdf_variant="pdf/ua-1", pdf_identifier=sha256(identifier.encode()).digest()[:16])


def page_count(html: str) -> int:
    """How many pages a document takes. Raises as render() does."""
    with _shut(_("The document")) as fetcher:
        return len(_laid_out("", html, fetcher).pages)


def _laid_out(name: str, html: str, fetcher: Any) -> Any:
    if len(html) > LONGEST:
        raise CannotPrint(_("%(name)s is too long for one print. Print it in parts.") % {"name": name})
    return _weasyprint().HTML(string=html, url_fetcher=fetcher, base_url="asset:").render(pdf_variant="pdf/ua-1")


_PICTURES = Lock()  # the PDF library that draws pictures is not safe to call from two threads


def picture(pdf: bytes, *, dots_per_inch: int = 150) -> bytes:
    """Page one of a PDF as a PNG, to send to a phone."""
    import io

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
