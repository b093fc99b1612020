"""Printers as processes of their own, kept warm: a page that takes all memory or never ends takes one of them along.

A thread keeps a printer while it holds a document set on it, so that documents of one book stand on the same one.
Knows no words for people and nothing of what is printed.
"""

from __future__ import annotations

import atexit
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import threading
import weakref
from collections.abc import Sequence
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import Any

import projects.platform
import reports
from reports.documents import press_child

FONTS = Path(projects.platform.__file__).parent / "static" / "fonts"
STYLES = Path(reports.__file__).parent / "static" / "reports" / "css"
MEMORY = 512 * 2**20  # bytes of address space for one document; an idle printer has some 160 MB of it
SECONDS = 60  # of the processor for one document set or one book written; further documents add press_child.MORE_*
ENDLESS = 180  # seconds on the clock, on a machine that is busy with other things too
AT_ONCE = 2  # printers of one process: more would only take turns at the processor
WAIT = 60  # seconds for a free one
WORN = 300  # documents after which a new one takes its place
HANDED_ON = (
    "PATH", "HOME", "LANG", "LC_ALL", "FONTCONFIG_FILE", "FONTCONFIG_PATH", "XDG_CACHE_HOME", "LD_LIBRARY_PATH",
)  # fmt: skip
ALONE = {"MALLOC_ARENA_MAX": "1"}  # threads of the font library would each take 64 MB of address space


class PressFailed(Exception):
    """A printer could not do what it was asked."""


class Missing(PressFailed):
    """A library that the printer needs is not on this machine. Carries its name for it."""


class Gone(PressFailed):
    """The printer ended: the page takes more time or memory than one may have."""


class Broken(PressFailed):
    """The printer itself failed on the page. Carries where."""


class Busy(PressFailed):
    """All printers of this process were taken for too long."""


class Printer:
    """One process, and what is set on it."""

    def __init__(self) -> None:
        self.own = tempfile.mkdtemp(prefix="press-")
        self.line, theirs = socket.socketpair()
        self.line.settimeout(ENDLESS)
        # -I: neither this folder nor the environment says what the child imports; it is told no secret
        self.process = subprocess.Popen(
            [sys.executable, "-I", press_child.__file__, str(theirs.fileno()), str(FONTS), str(STYLES), self.own,
             str(MEMORY), str(SECONDS)],
            pass_fds=[theirs.fileno()], cwd="/", stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL, env=ALONE | {name: os.environ[name] for name in HANDED_ON if name in os.environ},
        )  # fmt: skip
        theirs.close()
        self.ready = self.ended = False
        self.count = 0
        self.standing: set[int] = set()
        self.dropped: list[int] = []
        self.next: Printer | None = None  # warming up, to take this one's place
        self.mine = threading.Lock()

    def ask(self, words: dict[str, Any], content: bytes = b"") -> tuple[dict[str, Any], bytes]:
        """Raises Missing, Gone, Broken."""
        with self.mine:
            try:
                if not self.ready:
                    self._greeted()
                drop, self.dropped = self.dropped, []
                press_child.tell(self.line, {**words, "drop": drop}, content)
                told, answer = press_child.hear(self.line)
            except (EOFError, OSError) as ended:
                self.end()
                raise Gone from ended
        if "memory" in told:
            self.end()
            raise Gone
        if "failed" in told:
            raise Broken(told["failed"])
        return told, answer

    def _greeted(self) -> None:
        told, _content = press_child.hear(self.line)
        if "missing" in told:
            self.end()
            raise Missing(told["missing"])
        self.ready = True

    def end(self) -> None:
        """End the process: it is at nothing anyone waits for, or past what it may take."""
        if not self.ended:
            self.ended = True
            self.line.close()
            self.process.kill()
            self.process.wait()
            shutil.rmtree(self.own, ignore_errors=True)
        if self.next:
            self.next.end()


class Room:
    """The printers of this process, and which thread has which."""

    def __init__(self) -> None:
        self.process = os.getpid()
        self.free: SimpleQueue[Printer | None] = SimpleQueue()  # put() may be called from a finalizer
        for _place in range(AT_ONCE):
            self.free.put(None)
        self.held = threading.local()

    def take(self) -> Printer:
        """This thread's printer, or a free one. Raises Busy."""
        held: Printer | None = getattr(self.held, "printer", None)
        if held and held.standing and not held.ended:
            return held
        try:
            printer = self.free.get(timeout=WAIT)
        except Empty as none:
            raise Busy from none
        try:
            self.held.printer = self._fit(printer)
        except BaseException:
            self.free.put(printer)  # a machine too full to start one now: its place stays
            raise
        return self.held.printer

    def _fit(self, printer: Printer | None) -> Printer:
        """The printer of this place, or a new one where it ended or is worn."""
        if printer is None or printer.ended:
            return Printer()
        if printer.next:
            fresh, printer.next = printer.next, None
            printer.end()
            return fresh
        if printer.count >= WORN:
            printer.next = Printer()
        return printer

    def give_back(self, printer: Printer) -> None:
        self.free.put(printer)

    def end(self) -> None:
        while not self.free.empty():
            if printer := self.free.get():
                printer.end()


_room = Room()


def _here() -> Room:
    """A process that was forked off has no printers yet: those it knows are its parent's."""
    global _room
    if _room.process != os.getpid():
        _room = Room()
    return _room


@atexit.register
def _end_all() -> None:
    if _room.process == os.getpid():
        _room.end()


class Set:
    """A document set on a printer: its pages, and how high each element with an id is, mm. Gone when let go of."""

    def __init__(self, printer: Printer, number: int, told: dict[str, Any]) -> None:
        self.printer, self.number = printer, number
        self.trouble = {key: told[key] for key in ("refused", "lacks") if key in told}
        self.pages: int = told.get("pages", 0)
        self.high: dict[str, float] = told.get("high", {})


def set_page(html: str, variant: str) -> Set:
    """Raises Missing, Gone, Broken, Busy."""
    room = _here()
    printer = room.take()
    printer.count += 1
    number = printer.count
    printer.standing.add(number)
    try:
        told, _content = printer.ask({"do": "set", "number": number, "variant": variant}, html.encode())
    except BaseException:
        _let_go(room, printer, number)
        raise
    made = Set(printer, number, told)
    if made.trouble:  # nothing stands, and who is told why may keep this for long, in a traceback
        _let_go(room, printer, number)
    else:
        weakref.finalize(made, _let_go, room, printer, number).atexit = False
    return made


def _let_go(room: Room, printer: Printer, number: int) -> None:
    printer.dropped.append(number)
    printer.standing.discard(number)
    if not printer.standing:
        room.give_back(printer)


def write(pages: Sequence[Set], corners: Set | None, **words: Any) -> tuple[dict[str, Any], bytes]:
    """These documents as one PDF, and what was wrong with it. Raises Gone, Broken; ValueError for two printers'."""
    printer = pages[0].printer
    if any(one.printer is not printer for one in (*pages, *([corners] if corners else ()))):
        raise ValueError("The documents of one book were set in more than one thread.")
    numbers = [one.number for one in pages]
    return printer.ask({"do": "write", "numbers": numbers, "corners": corners and corners.number, **words})
