"""The one door to PDF: HTML in, the same bytes out every time, nothing fetched. Must not know what a document is about.

Pages are set by processes of their own (press): only `data:` and this project's own `asset:` names are answered there,
anything else ends the printing, and so does a page that takes too long or too much memory.
"""

from __future__ import annotations

import io
import logging
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from hashlib import sha256
from threading import Lock

from django.utils.translation import gettext as _

from projects.platform.languages import side_by_side
from reports.documents import press

VARIANT = "pdf/ua-1"
LONGEST = 2_000_000  # characters of HTML in one document: some 60 pages of table rows at about 3 ms a row

log = logging.getLogger(__name__)


class CannotPrint(Exception):
    """A document that can't be printed here. The message is for people and names the remedy."""


class RefusedAddress(CannotPrint):
    """A page asked for an address outside this project. It is not fetched."""


class TooMuch(CannotPrint):
    """The page took more time or memory than one may have, or every printer is taken. Nothing else was harmed."""


@contextmanager
def _said(name: str) -> Iterator[None]:
    """What a printer could not do, in words."""
    try:
        yield
    except press.Missing as missing:
        raise CannotPrint(
            _("PDFs need Pango on this machine: install libpango-1.0-0 and libpangoft2-1.0-0. (%(why)s)")
            % {"why": missing}
        ) from missing
    except press.Busy as busy:
        raise TooMuch(_("Too much is being printed right now. Try again in a minute.")) from busy
    except press.Gone as gone:
        log.error("printing ended: past %s s or %s MB", press.SECONDS, press.MEMORY >> 20)
        words = _("%(name)s takes more time or memory than a print may. Print it in parts, or shorten what is in it.")
        raise TooMuch(words % {"name": name}) from gone
    except press.Broken as broken:
        log.error("printing failed: %s", broken)
        words = _("%(name)s can't be set on paper. Try again; if it stays so, tell who looks after this program.")
        raise CannotPrint(words % {"name": name}) from broken


def _refuse(name: str, trouble: Mapping[str, str]) -> None:
    """An address that was refused ends the printing, and so does a page that lacks something on paper."""
    if "refused" in trouble:
        raise RefusedAddress(
            _("%(name)s asks for %(url)s, which is not part of this program. Nothing was fetched.")
            % {"name": name, "url": trouble["refused"]}
        )
    if "lacks" in trouble:
        raise CannotPrint(
            _("%(name)s would lack something on paper: %(why)s") % {"name": name, "why": trouble["lacks"]}
        )


class LaidOut:
    """A document set on its pages and not yet written. Writing it costs less than a third of laying it out."""

    def __init__(self, name: str, page: press.Set) -> None:
        self.name, self.set = name, page

    @property
    def pages(self) -> int:
        return self.set.pages

    def high(self, key: str) -> float:
        """How much of the pages' height the element with this id takes, in mm; 0 when there is none."""
        return self.set.high.get(key, 0.0)


def lay_out(name: str, html: str) -> LaidOut:
    """A page's whole HTML, with its lang and title, set on paper. Raises RefusedAddress, TooMuch, CannotPrint."""
    html = side_by_side(html)
    if len(html) > LONGEST:
        raise CannotPrint(_("%(name)s is too long for one print. Print it in parts.") % {"name": name})
    with _said(name):
        page = press.set_page(html, VARIANT)
    _refuse(name, page.trouble)
    return LaidOut(name, page)


def write(
    documents: Sequence[LaidOut], *, identifier: str, created: datetime, corners: LaidOut | None = None,
    alone: bool = True,
) -> bytes:  # fmt: skip
    """One PDF of these documents in order, tagged for reading aloud (PDF/UA-1).

    Args:
        documents: set in this thread, as corners are.
        identifier: what makes this print the same as another; created: when what it says was settled.
        corners: as many pages, whose bottom right corners take the place of the documents' own.
        alone: False where others' pages are bound behind these: tagged as far as it is ours, the whole claims nothing.
    Returns: the same bytes for the same arguments, on any day and any machine with the same fonts.
    Raises: RefusedAddress, TooMuch, CannotPrint.
    """
    if not documents:
        raise CannotPrint(_("There is nothing to print."))
    name = ", ".join(one.name for one in documents)
    with _said(name):
        trouble, content = press.write(
            [one.set for one in documents],
            corners.set if corners else None,
            kind={"pdf_variant": VARIANT} if alone else {"pdf_variant": None, "pdf_tags": True},
            identifier=sha256(identifier.encode()).hexdigest()[:32],
            created=created.isoformat(timespec="seconds"),
        )
    _refuse(name, trouble)
    return content


def render(html_by_document: Mapping[str, str], *, identifier: str, created: datetime) -> bytes:
    """As write(), from a name for messages and the whole HTML of each document."""
    laid_out = [lay_out(name, html) for name, html in html_by_document.items()]
    return write(laid_out, identifier=identifier, created=created)


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
