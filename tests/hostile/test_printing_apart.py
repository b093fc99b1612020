"""Printing is done by a process of its own: what takes too much ends there, and the next page is printed."""

import errno
import io
import os
import signal
import threading
from datetime import UTC, datetime

import pypdf
import pytest
from django.test import Client
from django.urls import reverse

from projects.platform.permissions import Role
from reports.documents import pdf, press
from tests.api.houses import problem_of
from tests.shops import sign_in

NOON = datetime(2026, 5, 4, 12, tzinfo=UTC)
PAGE = "<!doctype html><html lang=en><title>t</title><body>{}"


def printed(body):
    return pdf.render({"sheet": PAGE.format(body)}, identifier="x", created=NOON)


def words_of(content):
    return "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages)


@pytest.fixture
def strict(monkeypatch):
    """Printers of this test's own, with other limits."""
    own = []

    def limited(**limits):
        for name, most in limits.items():
            monkeypatch.setattr(press, name, most)
        own.append(press.Room())
        monkeypatch.setattr(press, "_room", own[-1])

    yield limited
    for room in own:
        room.end()


def rows(count):
    return f"<table>{'<tr><td>75 1/4<td>A1<td>recessed light' * count}</table>"


def test_the_limits_are_a_minute_and_512_mb():
    assert (press.SECONDS, press.MEMORY) == (60, 512 * 1024 * 1024)


def test_row_52_a_page_that_takes_too_long_is_refused_and_the_next_one_is_printed(strict):
    strict(SECONDS=1)
    with pytest.raises(pdf.TooMuch, match=r"sheet takes more time or memory than a print may\. Print it in parts"):
        printed(rows(4000))
    assert words_of(printed("75 1/4")) == "75 1/4"


def test_row_52_a_page_that_takes_too_much_memory_is_refused_and_the_next_one_is_printed(strict):
    strict(MEMORY=240 * 2**20)
    with pytest.raises(pdf.TooMuch):
        printed("x" * 1_500_000)
    assert words_of(printed("75 1/4")) == "75 1/4"


def test_a_printer_that_is_killed_is_replaced(strict):
    strict()
    kept = pdf.lay_out("sheet", PAGE.format("a"))
    os.kill(press._room.held.printer.process.pid, signal.SIGKILL)
    with pytest.raises(pdf.TooMuch):
        pdf.write([kept], identifier="x", created=NOON)
    del kept
    assert words_of(printed("b")) == "b"


def test_a_machine_too_full_to_start_a_printer_prints_again_when_it_has_room(strict, monkeypatch):
    strict(WAIT=0.05)

    def full(**_words):
        raise OSError(errno.ENOSPC, "No space left on device")

    for _print in range(press.AT_ONCE + 1):
        with monkeypatch.context() as disk, pytest.raises(OSError, match="No space"):
            disk.setattr(press.tempfile, "mkdtemp", full)
            printed("a")
    assert words_of(printed("b")) == "b"


def test_a_printer_knows_no_secret_and_its_folder_goes_with_it(strict, monkeypatch):
    monkeypatch.setenv("SECRET_KEY", "the canary sang")
    monkeypatch.setenv("DATABASE_URL", "postgresql://the-canary")
    strict()
    printed("a")
    printer = press._room.held.printer
    with open(f"/proc/{printer.process.pid}/environ", "rb") as told:
        assert b"canary" not in told.read()
    assert os.path.isdir(printer.own)
    printer.end()
    assert not os.path.exists(printer.own)


def test_nothing_is_kept_of_a_document_that_was_let_go(strict):
    strict()
    first = pdf.lay_out("one", PAGE.format("a"))
    second = pdf.lay_out("two", PAGE.format("b"))
    printer = press._room.held.printer
    assert printer.standing == {first.set.number, second.set.number}
    del first
    assert printer.standing == {second.set.number}
    del second
    assert printer.standing == set()
    assert press._room.free.qsize() == press.AT_ONCE


def test_people_who_print_at_once_take_turns_at_the_printers_and_all_get_theirs(strict):
    strict()
    got = {}

    def work(number):
        got[number] = words_of(printed(f"sheet {number}"))

    threads = [threading.Thread(target=work, args=[number]) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert got == {number: f"sheet {number}" for number in range(8)}
    assert press._room.free.qsize() == press.AT_ONCE == 2


def test_a_page_that_was_refused_holds_no_printer_however_long_the_refusal_is_kept(strict):
    strict()
    with pytest.raises(pdf.RefusedAddress) as kept:
        pdf.lay_out("sheet", PAGE.format("<img src='http://192.0.2.1/a.png' alt=a>"))
    assert press._room.free.qsize() == press.AT_ONCE
    assert "192.0.2.1" in str(kept.value)


def test_a_printer_that_ends_while_its_successor_warms_up_costs_no_second_print(strict):
    strict(AT_ONCE=1, WORN=1)
    printed("a")
    kept = pdf.lay_out("sheet", PAGE.format("b"))  # worn: the next one is warming up
    assert press._room.held.printer.next
    os.kill(press._room.held.printer.process.pid, signal.SIGKILL)
    with pytest.raises(pdf.TooMuch):
        pdf.write([kept], identifier="x", created=NOON)
    del kept
    assert words_of(printed("c")) == "c"


def test_who_waits_too_long_for_a_printer_is_told_so(strict):
    strict(AT_ONCE=1, WAIT=0.05)
    kept = pdf.lay_out("mine", PAGE.format("a"))
    told = []

    def work():
        try:
            pdf.lay_out("theirs", PAGE.format("b"))
        except pdf.TooMuch as busy:
            told.append(str(busy))

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert "Try again in a minute" in told[0]
    assert kept.pages == 1


def test_a_worn_printer_is_replaced_while_it_prints_once_more(strict):
    strict(WORN=2)
    pids = []
    for _print in range(4):
        printed("a")
        pids.append(press._room.held.printer.process.pid)
    # two of AT_ONCE take turns; each is replaced after its second document and one more
    assert len(set(pids)) >= 2
    for _print in range(6):
        printed("a")
        pids.append(press._room.held.printer.process.pid)
    assert len(set(pids)) >= 4


def test_tags_nested_past_what_the_printer_can_follow_are_refused_in_words(strict):
    strict()
    with pytest.raises(pdf.CannotPrint, match="can't be set on paper"):
        printed("<div>" * 3000 + "a")
    assert words_of(printed("b")) == "b"


def test_a_printer_that_was_talked_into_it_still_asks_nobody():
    """The second wall behind the fetcher: the process itself opens no connection."""
    from reports.documents import press_child

    for event in ("socket.connect", "socket.getaddrinfo", "subprocess.Popen", "os.system", "os.exec"):
        with pytest.raises(PermissionError):
            press_child.refuse(event, ())
    press_child.refuse("open", ())


def test_row_52_a_program_is_told_503_and_a_person_in_words_where_they_were(house, monkeypatch):
    def ends(*_page):
        raise press.Gone

    monkeypatch.setattr(press, "set_page", ends)
    told = problem_of(house.ask().get(house.address("checklist"), Accept="application/pdf"), 503)
    assert "more time or memory" in told["detail"]
    client = Client(raise_request_exception=False)
    sign_in(client, house.people[Role.OWNER])
    page = reverse("checklist", args=[house.room.pk, house.revision.number])
    answer = client.get(f"{page}?paper=letter", follow=True)
    assert answer.redirect_chain == [(page, 302)] and answer.status_code == 200
    assert "more time or memory" in answer.content.decode()
