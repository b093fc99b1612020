"""Sets HTML on paper in a process of its own, with little memory and time: what a page does to its printer ends here.

Run by reports.documents.press alone, as `press_child.py SOCKET FONTS STYLES OWN_FOLDER MEMORY SECONDS`; knows neither
Django nor the database nor a secret. A message each way is a length, JSON of that length, and as many bytes as its
"bytes" says. It ends when the other end closes.
"""

from __future__ import annotations

import gc
import io
import json
import logging
import os
import resource
import select
import shutil
import signal
import socket
import struct
import sys
import tempfile
import traceback
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

LENGTH = struct.Struct("!I")
MORE_MEMORY = 16 * 2**20  # bytes for each document already set for the same book; a card takes some 6 MB
MORE_SECONDS = 1  # for each document of a book that is written
BETWEEN = 0.05  # seconds without a word after which what was dropped is cleared away
DENIED = ("socket.connect", "socket.getaddrinfo", "socket.bind", "subprocess.Popen", "os.system", "os.exec", "os.fork")


class Heard(logging.Handler):
    """What the printer could not draw: it logs that and prints the page without it, which a card must never do."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(record.getMessage())


class Press:
    """The documents that are set and not yet written, by the number their owner gave them."""

    def __init__(self, fonts: Path, styles: Path) -> None:
        import weasyprint
        from weasyprint.text.fonts import FontConfiguration
        from weasyprint.urls import FatalURLFetchingError

        self.html, self.shut = weasyprint.HTML, FatalURLFetchingError
        self.assets = assets(fonts, styles)
        self.fetcher = fetcher(self.assets)
        self.fonts = FontConfiguration()  # one for all: each of its own would keep the fonts once more
        self.documents: dict[int, Any] = {}
        self.heard = Heard()
        logging.getLogger("weasyprint").addHandler(self.heard)

    def answer(self, asked: dict[str, Any], page: bytes) -> tuple[dict[str, Any], bytes]:
        self.heard.lines.clear()
        for number in asked.get("drop", ()):
            self.documents.pop(number, None)
        if asked["do"] == "set":
            return self.set(asked, page.decode()), b""
        return self.write(asked)

    def set(self, asked: dict[str, Any], page: str) -> dict[str, Any]:
        fetcher = self.fetcher()
        try:
            found = self.html(string=page, url_fetcher=fetcher, base_url="asset:")
            document = found.render(font_config=self.fonts, pdf_variant=asked["variant"])
        except self.shut:
            document = None
        if trouble := self.trouble(fetcher):
            return trouble
        self.documents[asked["number"]] = document
        return {"pages": len(document.pages), "high": heights(document)}

    def write(self, asked: dict[str, Any]) -> tuple[dict[str, Any], bytes]:
        documents = [self.documents[number] for number in asked["numbers"]]
        corners = self.documents[asked["corners"]].pages if asked["corners"] is not None else None
        content = b""
        with suppress(self.shut):
            content = written(documents, corners, asked)
        return self.trouble(*(one.url_fetcher for one in documents)) or {}, content

    def trouble(self, *fetchers: Any) -> dict[str, Any]:
        """An address that a document's fetcher refused ends the printing, wherever the printer met it."""
        for url in (url for fetcher in fetchers for url in fetcher.refused):
            return {"refused": url}
        return {"lacks": self.heard.lines[0]} if self.heard.lines else {}


def assets(fonts: Path, styles: Path) -> dict[str, tuple[bytes, str]]:
    """Everything a page may name as asset:name, with its type."""
    found = {f"fonts/{path.name}": (unpacked(path), "font/ttf") for path in fonts.glob("*.woff2")}
    return found | {
        f"css/{path.name}": (path.read_bytes(), "text/css; charset=utf-8") for path in styles.glob("*.css")
    }


def unpacked(font: Path) -> bytes:
    """A web font as TrueType: it would else be unpacked for every document, a sixth of a card's time."""
    from fontTools.ttLib import woff2

    new = io.BytesIO()
    woff2.decompress(font, new)
    return new.getvalue()


def fetcher(assets: dict[str, tuple[bytes, str]]) -> Any:
    """The printer's own fetcher follows any address a page names, a file of this machine included: never used."""
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

    class Shut(FatalURLFetchingError):
        """Derives from BaseException there, so that it can't be swallowed on its way out."""

    class Fetcher(URLFetcher):
        def __init__(self) -> None:
            super().__init__(allowed_protocols=("data",), allow_redirects=False, fail_on_errors=True)
            self.refused: list[str] = []  # a drawing's own images are refused without a word reaching us

        def fetch(self, url: str, headers: Any = None) -> Any:
            if url.startswith("data:"):
                return super().fetch(url, headers)
            asset = assets.get(url.removeprefix("asset:")) if url.startswith("asset:") else None
            if asset is None:
                self.refused.append(url[:80])
                raise Shut(url[:80])
            return URLFetcherResponse(url, asset[0], {"Content-Type": asset[1]})

    return Fetcher


def heights(document: Any) -> dict[str, float]:
    """How much of the pages' height each element with an id takes, mm."""
    high: dict[str, float] = {}
    for page in document.pages:
        first: dict[str, Any] = {}  # the element's own box comes before the nameless ones inside it
        for box in page._page_box.descendants():
            if box.element is not None and (key := box.element.get("id")):
                first.setdefault(key, box)
        for key, box in first.items():
            high[key] = high.get(key, 0.0) + box.margin_height()
    return {key: points * 25.4 / 96 for key, points in high.items()}


def written(documents: Sequence[Any], corners: Sequence[Any] | None, asked: dict[str, Any]) -> bytes:
    pages = [page for one in documents for page in one.pages]
    for page, corner in zip(pages, corners or (), strict=corners is not None):
        replace_corner(page._page_box, corner._page_box)
    book = documents[0].copy(pages)
    book.metadata.created = book.metadata.modified = asked["created"]
    return bytes(book.write_pdf(**asked["kind"], pdf_identifier=bytes.fromhex(asked["identifier"])))


def replace_corner(page: Any, other: Any) -> None:
    """Move another page's bottom right corner here, to where this page's own stood."""
    own, new = corner(page), corner(other)
    new.translate(
        own.position_x + own.margin_width() - new.position_x - new.margin_width(),
        own.children[0].position_y - new.children[0].position_y,
    )
    page.children = tuple(new if box is own else box for box in page.children)


def corner(page: Any) -> Any:
    return next(box for box in page.children if getattr(box, "at_keyword", "") == "@bottom-right")


def tell(line: socket.socket, words: dict[str, Any], content: bytes = b"") -> None:
    said = json.dumps({**words, "bytes": len(content)}).encode()
    line.sendall(LENGTH.pack(len(said)) + said + content)


def hear(line: socket.socket) -> tuple[dict[str, Any], bytes]:
    """The next message. Raises EOFError when the other end closed."""
    words = json.loads(exactly(line, LENGTH.unpack(exactly(line, LENGTH.size))[0]))
    return words, exactly(line, words["bytes"])


def exactly(line: socket.socket, count: int) -> bytes:
    heard = bytearray()
    while len(heard) < count:
        some = line.recv(min(count - len(heard), 1 << 20))
        if not some:
            raise EOFError
        heard += some
    return bytes(heard)


def refuse(event: str, _args: object) -> None:
    """A second wall: whatever a page talked the printer into, it asks no other machine and starts nothing."""
    if event in DENIED:
        raise PermissionError(event)


def serve(line: socket.socket, press: Press, memory: int, seconds: int) -> None:
    signal.signal(signal.SIGPROF, signal.SIG_DFL)  # past its time the process ends, wherever it is
    while True:
        if not select.select([line], [], [], BETWEEN)[0]:
            gc.collect()
        asked, page = hear(line)
        book = len(press.documents)
        resource.setrlimit(resource.RLIMIT_AS, (memory + MORE_MEMORY * book, resource.RLIM_INFINITY))
        signal.setitimer(signal.ITIMER_PROF, seconds + MORE_SECONDS * len(asked.get("numbers", ())))
        try:
            answer, content = press.answer(asked, page)
        except MemoryError:
            press.documents.clear()
            tell(line, {"memory": True})
            return
        except Exception:
            answer, content = {"failed": traceback.format_exc(limit=-8)}, b""
        signal.setitimer(signal.ITIMER_PROF, 0)
        tell(line, answer, content)


def main(number: str, fonts: str, styles: str, own: str, memory: str, seconds: str) -> None:
    line = socket.socket(fileno=int(number))
    tempfile.tempdir = own
    try:
        press = Press(Path(fonts), Path(styles))
        press.answer({"do": "set", "number": 0, "variant": None}, b"<p>a</p>")  # whatever is loaded late, is now
        press.documents.clear()
    except OSError as missing:
        return tell(line, {"missing": str(missing)})
    sys.addaudithook(refuse)
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    gc.collect()
    gc.freeze()
    tell(line, {"ready": os.getpid()})
    try:
        serve(line, press, int(memory), int(seconds))
    except (EOFError, ConnectionError):
        pass
    finally:
        shutil.rmtree(own, ignore_errors=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
