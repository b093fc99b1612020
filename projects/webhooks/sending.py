"""One message, sent once: to the very address that was looked up, with limits on time and on what is read back.

No redirect is followed and no proxy asked. Written on sockets, because a client library would look the name up itself.
"""

import re
import socket
import ssl
import time
from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _

from projects.webhooks import addresses
from projects.webhooks.addresses import NotThere, Target

SECONDS = 10.0  # for all of it, from the look-up to the last byte
AT_REST = 1.0  # to wait for more of an answer whose status is known
MOST_BYTES = 64 * 1024  # of an answer, its head included
SHOWN = 500  # of an answer's body, in the log
STATUS = re.compile(rb"HTTP/1\.[01] (\d{3})(?: |\r|$)")


class NoAnswer(Exception):
    """Nothing that says whether it was taken, with the reason in words."""


@dataclass(frozen=True, slots=True)
class Answer:
    status: int
    ms: int
    said: str  # the first of its body

    @property
    def taken(self) -> bool:
        return 200 <= self.status < 300


def send(url: str, body: bytes, headers: Mapping[str, str]) -> Answer:
    """POST it. Raises NotThere for an address that no message goes to, NoAnswer."""
    began = time.monotonic()
    target = addresses.read(url)
    until = began + SECONDS
    try:
        with _connected(target, addresses.found(target), until) as line:
            line.sendall(_request(target, body, headers))
            status, said = _answer(line, until)
    except ssl.SSLCertVerificationError:
        raise NoAnswer(_("The host's certificate is not good for its name.")) from None
    except TimeoutError:
        raise NoAnswer(_("No answer within %(seconds)s seconds.") % {"seconds": int(SECONDS)}) from None
    except OSError:
        raise NoAnswer(_("The line broke, or nobody took it up.")) from None
    return Answer(status, int((time.monotonic() - began) * 1000), said)


def _connected(target: Target, address: str, until: float) -> ssl.SSLSocket:
    """Encrypted, with a host that proves the name, at this address and no other."""
    bare = socket.create_connection((address, target.port), timeout=_left(until))
    try:
        bare.settimeout(_left(until))
        return context().wrap_socket(bare, server_hostname=target.host)
    except BaseException:
        bare.close()
        raise


def context() -> ssl.SSLContext:
    return ssl.create_default_context()


def _request(target: Target, body: bytes, headers: Mapping[str, str]) -> bytes:
    told = {
        "Host": target.named, "Content-Type": "application/json", "Content-Length": str(len(body)),
        "User-Agent": "Ceilingbook", "Accept": "*/*", "Connection": "close", **headers,
    }  # fmt: skip
    lines = [f"POST {target.path} HTTP/1.1", *(f"{name}: {value}" for name, value in told.items())]
    return "\r\n".join((*lines, "", "")).encode("ascii") + body


def _answer(line: ssl.SSLSocket, until: float) -> tuple[int, str]:
    """The status and the first of what follows. What goes on for longer or for ever is left unread."""
    got = b""
    while (parts := _head(got)) is None:
        if len(got) >= MOST_BYTES:
            raise NoAnswer(_("The answer's head has no end."))
        more = _more(line, until)
        if not more:
            raise NoAnswer(_("The line was closed without an answer."))
        got += more
    status, body = parts
    until = min(until, time.monotonic() + AT_REST)
    try:
        while len(body) < SHOWN and (more := _more(line, until)):
            body += more
    except (TimeoutError, OSError):
        pass  # the status says it all
    return status, "".join(letter if letter.isprintable() else " " for letter in body[:SHOWN].decode(errors="replace"))


def _head(got: bytes) -> tuple[int, bytes] | None:
    """(status, what came after the head), None while it is not whole. What only announces an answer is passed over."""
    while b"\r\n\r\n" in got:
        head, _end, got = got.partition(b"\r\n\r\n")
        match = STATUS.match(head)
        if not match:
            raise NoAnswer(_("What answered speaks another language than HTTP."))
        if (status := int(match[1])) >= 200:
            return status, got
    return None


def _more(line: ssl.SSLSocket, until: float) -> bytes:
    line.settimeout(_left(until))
    return line.recv(4096)


def _left(until: float) -> float:
    left = until - time.monotonic()
    if left <= 0:
        raise TimeoutError
    return left


__all__ = ["Answer", "NoAnswer", "NotThere", "send"]
