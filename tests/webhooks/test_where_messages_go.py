"""A message goes to a public host over https, to the very address that was looked up, or nowhere."""

import socket

import pytest

from projects.webhooks import addresses, sending
from projects.webhooks.addresses import NotThere
from tests.webhooks.hosts import NAME, URL, says

# Forms of an address that lead inside, or hide that they do. How they are read by browsers and resolvers: the WHATWG's
# URL standard, inet_aton(3), RFC 4291, 6052, 3056, 4380; from memory.
FORMS = (
    "https://127.0.0.1/", "https://127.1/", "https://127.0.1/", "https://2130706433/", "https://0x7f000001/",
    "https://0x7f.0.0.1/", "https://0177.0.0.1/", "https://017700000001/", "https://127.0.0.1./", "https://0/",
    "https://0.0.0.0/", "https://10.0.0.8/", "https://172.16.0.1/", "https://192.168.1.1/", "https://100.64.0.1/",
    "https://169.254.169.254/latest/", "https://198.18.0.1/", "https://224.0.0.1/", "https://255.255.255.255/",
    "https://[::1]/", "https://[::]/", "https://[::ffff:127.0.0.1]/", "https://[::ffff:7f00:1]/", "https://[::127.0.0.1]/",
    "https://[fe80::1]/", "https://[fe80::1%25eth0]/", "https://[fc00::1]/", "https://[fd12::1]/", "https://[ff02::1]/",
    "https://[64:ff9b::7f00:1]/", "https://[2002:7f00:1::]/", "https://[2001:0:7f00:1::]/",
    "https://localhost/", "https://LOCALHOST/", "https://localhost./", "https://anything.localhost/", "https://router/",
    "https://printer.local/", "https://db.internal/", "https://nas.home.arpa/",
    "https://１２７.０.０.１/", "https://127。0。0。1/", "https://①②⑦.⓪.⓪.①/", "https://ⓛocalhost/",
    "http://hooks.alder-court.com/", "ftp://hooks.alder-court.com/", "file:///etc/passwd", "gopher://127.0.0.1:70/",
    "javascript:alert(1)", "//127.0.0.1/", "https:/127.0.0.1/", "https:///127.0.0.1/", "https://",
    "https://hooks.alder-court.com@127.0.0.1/", "https://127.0.0.1:80@hooks.alder-court.com/",
    "https://hooks.alder-court.com\\@127.0.0.1/", "https://hooks.alder-court.com/\r\nHost: 127.0.0.1",
    "https://hooks.alder-court.com:0x50/", "https://hooks.alder-court.com:99999/", "https://[hooks.alder-court.com/",
    "https://hooks.alder-court.com/#@127.0.0.1", "https://hooks.alder court.com/", "https://" + "a" * 600 + ".com/",
)  # fmt: skip

# What a name may lead to that is not out there. IANA's registries of special-purpose addresses, from memory.
INSIDE = (
    "127.0.0.1", "127.255.255.254", "0.0.0.0", "10.1.2.3", "172.31.255.255", "192.168.0.1", "169.254.169.254",
    "100.100.100.200", "192.0.0.8", "192.0.2.1", "198.51.100.7", "203.0.113.9", "198.19.255.255", "192.88.99.1",
    "224.0.0.251", "239.255.255.250", "240.0.0.1", "255.255.255.255", "::1", "::", "::ffff:127.0.0.1",
    "::ffff:8.8.8.8", "::127.0.0.1", "fe80::1", "fe80::1%eth0", "fec0::1", "fc00::1", "fdff::1", "ff02::1",
    "64:ff9b::a00:1",
    "64:ff9b:1::1", "100::1", "2001::1", "2001:10::1", "2001:20::1", "2001:db8::1", "2002:a00:1::1", "3fff::1",
    "5f00::1", "no address", "",
)  # fmt: skip


@pytest.fixture
def lines(monkeypatch):
    """Every line that somebody tried to open."""
    tried = []

    def create_connection(address, *args, **kwargs):
        tried.append(address)
        raise ConnectionRefusedError

    monkeypatch.setattr(socket, "create_connection", create_connection)
    return tried


@pytest.mark.parametrize("url", FORMS)
def test_row_60_no_form_of_an_address_leads_inside(url, lines, names):
    with pytest.raises(NotThere):
        addresses.refuse_inside(url)
    with pytest.raises(NotThere):
        sending.send(url, b"{}", {})
    assert lines == names["asked"] == []


@pytest.mark.parametrize("address", INSIDE)
def test_row_60_a_name_that_leads_inside_is_refused_when_typed_and_when_sent(address, lines, names):
    for said in ([address], ["8.8.4.4", address]):
        names[NAME] = said
        with pytest.raises(NotThere):
            addresses.refuse_inside(URL)
        with pytest.raises(NotThere):
            sending.send(URL, b"{}", {})
    assert lines == []


@pytest.mark.parametrize("address", ["8.8.4.4", "1.1.1.1", "2606:4700:4700::1111", "172.32.0.1", "100.128.0.1"])
def test_what_is_out_there_is_connected_to_as_it_was_found(address, lines, names):
    names[NAME] = [address]
    with pytest.raises(sending.NoAnswer):
        sending.send(URL, b"{}", {})
    assert lines == [(address, 443)]


def test_row_60_a_name_that_leads_elsewhere_a_moment_later_is_asked_once(lines, monkeypatch):
    answers = [["8.8.4.4"], ["127.0.0.1"]]
    monkeypatch.setattr(addresses, "look_up", lambda host, port: answers.pop(0))
    with pytest.raises(sending.NoAnswer):
        sending.send(URL, b"{}", {})
    assert lines == [("8.8.4.4", 443)]
    with pytest.raises(NotThere):
        sending.send(URL, b"{}", {})
    assert len(lines) == 1


def test_a_name_that_leads_nowhere_may_be_kept_and_is_told_when_sent(lines, names):
    names[NAME] = []
    addresses.refuse_inside(URL)
    with pytest.raises(NotThere, match="nowhere"):
        sending.send(URL, b"{}", {})
    assert lines == []


def test_a_resolver_that_hangs_is_left_behind(lines, monkeypatch):
    from threading import Event

    never = Event()
    monkeypatch.setattr(addresses, "LOOK_UP_SECONDS", 0.05)
    monkeypatch.setattr(addresses, "look_up", lambda host, port: [never.wait(30) and "8.8.4.4"])
    with pytest.raises(NotThere, match="nowhere"):
        sending.send(URL, b"{}", {})
    never.set()
    assert lines == []


def test_a_message_comes_as_it_was_sent_under_the_hosts_own_name(host):
    here = host(says("200 OK", b"thanks"))
    answer = sending.send(URL, b'{"a":1}', {"webhook-id": "msg_1"})
    assert (answer.status, answer.said, answer.taken) == (200, "thanks", True)
    [(first, headers, body)] = here.got
    assert first == "POST /ceiling?from=shop HTTP/1.1"
    assert headers["host"].startswith(NAME) and headers["webhook-id"] == "msg_1" and body == b'{"a":1}'
    assert headers["content-type"] == "application/json"


def test_a_certificate_of_nobody_we_know_ends_it_before_a_word_is_said(host, monkeypatch):
    import ssl

    here = host(says("200 OK"))
    monkeypatch.setattr(sending, "context", ssl.create_default_context)
    with pytest.raises(sending.NoAnswer, match="certificate"):
        sending.send(URL, b"secret", {})
    assert here.got == []


@pytest.mark.parametrize("where", ["http://127.0.0.1/", "https://169.254.169.254/latest/", f"https://{NAME}/again"])
@pytest.mark.parametrize("status", ["301 Moved", "302 Found", "307 Temporary", "308 Permanent"])
def test_row_60_no_redirect_is_followed(host, status, where):
    here = host(says(status, Location=where))
    answer = sending.send(URL, b"{}", {})
    assert (answer.taken, here.lines, len(here.got)) == (False, 1, 1)


def _for_ever(first):
    def answer(line):
        line.sendall(first)
        while True:
            line.sendall(b"x" * 4096)

    return answer


def test_row_60_an_answer_without_end_is_left_after_its_first(host):
    host(_for_ever(b"HTTP/1.1 200 OK\r\nContent-Length: 10000000000\r\n\r\n"))
    answer = sending.send(URL, b"{}", {})
    assert (answer.status, len(answer.said)) == (200, sending.SHOWN)


def test_row_60_a_head_without_end_is_left_at_sixty_four_kilobytes(host, monkeypatch):
    monkeypatch.setattr(sending, "_more", count := Counting(sending._more))
    host(_for_ever(b"HTTP/1.1 200 OK\r\nX: "))
    with pytest.raises(sending.NoAnswer, match="no end"):
        sending.send(URL, b"{}", {})
    assert count.bytes <= sending.MOST_BYTES + 4096


class Counting:
    def __init__(self, more):
        self.more, self.bytes = more, 0

    def __call__(self, *args):
        got = self.more(*args)
        self.bytes += len(got)
        return got


def test_row_60_a_host_that_never_answers_is_left_after_its_time(host, monkeypatch):
    from threading import Event

    over = Event()
    monkeypatch.setattr(sending, "SECONDS", 0.5)
    host(lambda line: over.wait(30))
    with pytest.raises(sending.NoAnswer, match="No answer within"):
        sending.send(URL, b"{}", {})
    over.set()


def test_row_60_one_that_drips_a_letter_at_a_time_gets_no_more_time_for_it(host, monkeypatch):
    import time

    def drip(line):
        for _n in range(200):
            line.sendall(b"H")
            time.sleep(0.05)

    monkeypatch.setattr(sending, "SECONDS", 0.5)
    host(drip)
    began = time.monotonic()
    with pytest.raises(sending.NoAnswer, match="No answer within"):
        sending.send(URL, b"{}", {})
    assert time.monotonic() - began < 5  # of the ten seconds that it would drip


@pytest.mark.parametrize("answer", [b"", b"SSH-2.0-hello\r\n\r\n", b"HTTP/1.1 OK\r\n\r\n", b"HTTP/9.9 200 OK\r\n\r\n"])
def test_what_is_no_answer_is_told_as_none(host, answer):
    host(answer)
    with pytest.raises(sending.NoAnswer):
        sending.send(URL, b"{}", {})


def test_what_only_announces_an_answer_is_passed_over(host):
    host(b"HTTP/1.1 103 Early Hints\r\nLink: </x>\r\n\r\n" + says("204 No Content"))
    assert sending.send(URL, b"{}", {}).status == 204


def test_the_limits_are_those_that_are_promised():
    assert (sending.SECONDS, sending.MOST_BYTES) == (10.0, 65536)
