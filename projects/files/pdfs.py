"""PDFs somebody handed in: within bounds, by what is in them, written anew page by page; and bound behind our own."""

import io
import subprocess
import sys
from dataclasses import dataclass
from threading import Lock

from django.utils.translation import gettext as _

from projects.files import pdf_child

MOST_BYTES = 20 * 1024 * 1024
MOST_PAGES = 60
SIGN = b"%PDF-"
WAIT = 60  # seconds, for a reader that neither ends nor works


class NoPdf(Exception):
    """What was handed in can't be taken as a PDF. The message says why, and what to do."""


@dataclass(frozen=True, slots=True)
class Pdf:
    content: bytes
    pages: int


def rewritten(upload) -> Pdf:
    """The upload's pages as a new PDF, read in a process of its own. Raises NoPdf."""
    if upload.size > MOST_BYTES:
        raise NoPdf(_("The PDF is over 20 MB. Save it smaller, or only the pages that are needed."))
    content = upload.read()
    if not content.startswith(SIGN):
        raise NoPdf(_("That file is no PDF. Save the sheet as PDF, whatever it is called now."))
    try:
        read = subprocess.run(
            [sys.executable, pdf_child.__file__, str(MOST_PAGES)], input=content, capture_output=True, timeout=WAIT
        )
    except subprocess.TimeoutExpired as late:
        raise NoPdf(_("The PDF takes too long to read. Print it to a new PDF, and hand that in.")) from late
    if read.returncode:
        raise NoPdf(_refused(read.returncode))
    if len(read.stdout) > MOST_BYTES:
        raise NoPdf(_("The PDF is over 20 MB once it is unpacked. Save only the pages that are needed."))
    return Pdf(read.stdout, int(read.stderr.split()[-1]))


def _refused(code):
    if code == 4:
        return _("The PDF is locked with a password. Save it without one.")
    if code == 5:
        return _("The PDF has over %(most)s pages. Save only those that are needed.") % {"most": MOST_PAGES}
    return _("The PDF is damaged, or can't be read. Print it to a new PDF, and hand that in.")


_ONE_AT_A_TIME = Lock()  # the library is not safe to call from two threads


def bound(first: bytes, others) -> bytes:
    """Other PDFs' pages behind those of the first, in order. others: bytes of PDFs that were written anew by us.

    Raises NoPdf when one of them was damaged where it is kept.
    """
    import pypdfium2

    with _ONE_AT_A_TIME:
        book = pypdfium2.PdfDocument(first)
        try:
            for content in others:
                more = pypdfium2.PdfDocument(content)
                book.import_pages(more)
                more.close()
            written = io.BytesIO()
            book.save(written)
        except pypdfium2.PdfiumError as damaged:
            raise NoPdf(_("A maker's sheet can't be read any more. Hand it in again.")) from damaged
        finally:
            book.close()
    return written.getvalue()


def page_count(content: bytes) -> int:
    import pypdfium2

    with _ONE_AT_A_TIME:
        book = pypdfium2.PdfDocument(content)
        try:
            return len(book)
        finally:
            book.close()
