"""Where a message may go: a public host, by its name, over https. Checked when it is typed and again when it is sent.

An address is looked up once for each message, and the connection goes to what was found and nowhere else: a name that
leads elsewhere a moment later leads nobody inside.
"""

import ipaddress
import re
import socket
import threading
from dataclasses import dataclass
from urllib.parse import urlsplit

from django.utils.translation import gettext as _

LONGEST = 500
LOOK_UP_SECONDS = 3.0

# What is not out there. RFC 6890 and the IANA registries of special-purpose addresses, from memory.
INSIDE_4 = tuple(map(ipaddress.IPv4Network, (
    "0.0.0.0/8", "10.0.0.0/8", "100.64.0.0/10", "127.0.0.0/8", "169.254.0.0/16", "172.16.0.0/12", "192.0.0.0/24",
    "192.0.2.0/24", "192.31.196.0/24", "192.52.193.0/24", "192.88.99.0/24", "192.168.0.0/16", "192.175.48.0/24",
    "198.18.0.0/15", "198.51.100.0/24", "203.0.113.0/24", "224.0.0.0/3",
)))  # fmt: skip
# Global unicast is 2000::/3 (RFC 4291); of that, these carry another address inside them or are for paper.
OUTSIDE_6 = ipaddress.IPv6Network("2000::/3")
INSIDE_6 = tuple(map(ipaddress.IPv6Network, ("2001::/23", "2001:db8::/32", "2002::/16", "3fff::/20")))

# Names for hosts of one's own network. RFC 6761, 6762, 8375, 9476, and .internal, from memory.
OWN_NAMES = ("localhost", "local", "internal", "intranet", "lan", "home", "corp", "private", "home.arpa", "localdomain",
             "test", "example", "invalid", "onion", "alt", "arpa")  # fmt: skip
LABEL = re.compile(r"(?!-)[a-z0-9_-]{1,63}(?<!-)")


class NotThere(Exception):
    """No message may go, or can go, to this address; with the reason in words."""


@dataclass(frozen=True, slots=True)
class Target:
    """An address taken apart. host: its name in ASCII; path: with the question, from the slash on."""

    host: str
    port: int
    path: str

    @property
    def named(self) -> str:
        return self.host if self.port == 443 else f"{self.host}:{self.port}"


def read(url: str) -> Target:
    """Take an address apart. Raises NotThere, before anything is looked up."""
    if len(url) > LONGEST or not url.isprintable() or any(letter in url for letter in " \\\"<>^`{|}"):
        raise NotThere(_("Write the whole address, like https://hooks.example.com/ceiling, without blanks."))
    try:
        parts = urlsplit(url)
        port, host = parts.port or 443, parts.hostname or ""
    except ValueError:
        raise NotThere(_("This is no address. Copy it from where it is shown.")) from None
    if parts.scheme != "https":
        raise NotThere(_("The address begins with https://. What is sent without it, others can read and change."))
    if "@" in parts.netloc:
        raise NotThere(_("Leave the name and the password before @ out. The signature says who sends."))
    if parts.fragment:
        raise NotThere(_("Leave out the # and what follows it. It is never sent."))
    return Target(_name(host), port, _ascii_path(parts))


def _name(host: str) -> str:
    try:
        name = host.encode("idna").decode().lower()
    except UnicodeError:
        raise NotThere(_("This is no host's name. Copy the address from where it is shown.")) from None
    labels = name.split(".")
    if not all(map(LABEL.fullmatch, labels)) or len(name) > 253:
        raise NotThere(_("Give the host by its name, like hooks.example.com, not by a number."))
    # A last part of digits, or of 0x and digits, is read as a number by some: 127.1, 2130706433, 0x7f.1.
    if labels[-1].isdigit() or labels[-1].startswith("0x"):
        raise NotThere(_("Give the host by its name, like hooks.example.com, not by a number."))
    if len(labels) < 2 or any(name == own or name.endswith(f".{own}") for own in OWN_NAMES):
        raise NotThere(_("This name is of one's own network. Messages go only to hosts on the internet."))
    return name


def _ascii_path(parts) -> str:
    path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    if not path.isascii():
        raise NotThere(_("Write letters beyond a to z in the address's path as % and their numbers."))
    return path


def is_inside(address: str) -> bool:
    """Is this numeric address anything but a host on the internet? What can't be read counts as inside."""
    try:
        known = ipaddress.ip_address(address)
    except ValueError:
        return True
    if isinstance(known, ipaddress.IPv4Address):
        return any(known in network for network in INSIDE_4)
    return bool(known.scope_id) or known not in OUTSIDE_6 or any(known in network for network in INSIDE_6)


def found(target: Target) -> str:
    """The numeric address to connect to. Raises NotThere when the name leads inside, even by one of several ways."""
    addresses = list(dict.fromkeys(_within(LOOK_UP_SECONDS, target)))
    if not addresses:
        raise NotThere(_("The name leads nowhere just now."))
    if any(map(is_inside, addresses)):
        raise NotThere(_("The name leads into a network of one's own. Messages go only to hosts on the internet."))
    return addresses[0]


def look_up(host: str, port: int) -> list[str]:
    """What the system's resolver says, IPv4 first. [] where it says nothing."""
    try:
        rows = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError):
        return []
    return [str(row[4][0]) for row in sorted(rows, key=lambda row: row[0] != socket.AF_INET)]


def _within(seconds: float, target: Target) -> list[str]:
    """The resolver has no limit of its own; one that hangs is left behind."""
    said: list[str] = []
    asked = threading.Thread(target=lambda: said.extend(look_up(target.host, target.port)), daemon=True)
    asked.start()
    asked.join(seconds)
    return list(said)


def refuse_inside(url: str) -> None:
    """When it is typed: what can't be an address, and a name that leads inside now. Raises NotThere.

    A name that leads nowhere yet is taken: the host may not be up. It is looked up again for each message.
    """
    target = read(url)
    if any(map(is_inside, _within(LOOK_UP_SECONDS, target))):
        raise NotThere(_("The name leads into a network of one's own. Messages go only to hosts on the internet."))
