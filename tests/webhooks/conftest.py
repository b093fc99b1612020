"""No name is looked up outside; where a test has a host of its own, its name leads there."""

import ssl

import pytest

from projects.webhooks import addresses, sending
from projects.webhooks.addresses import Target
from tests.webhooks.hosts import Host, certificate

OUTSIDE = "8.8.4.4"


@pytest.fixture(autouse=True)
def names(monkeypatch):
    """What names lead to: {name: addresses}, any other to one outside. `asked` holds each that was looked up."""
    known, asked = {}, []

    def look_up(host, port):
        asked.append(host)
        return known.get(host, [OUTSIDE])

    monkeypatch.setattr(addresses, "look_up", look_up)
    known["asked"] = asked
    return known


@pytest.fixture(scope="session")
def key_and_cert(tmp_path_factory):
    return certificate(tmp_path_factory.mktemp("host"))


@pytest.fixture
def host(key_and_cert, monkeypatch):
    """host(*answers): one that stands on this machine, and that our name for it leads to.

    The port is its own, and this machine counts as outside; everything else is as it always is.
    """
    made = []

    def stand(*answers):
        here = Host(*key_and_cert, *answers)
        made.append(here)
        read = addresses.read
        monkeypatch.setattr(addresses, "is_inside", lambda address: False)
        monkeypatch.setattr(addresses, "look_up", lambda name, port: ["127.0.0.1"])
        monkeypatch.setattr(addresses, "read", lambda url: Target(read(url).host, here.port, read(url).path))
        monkeypatch.setattr(sending, "context", lambda: ssl.create_default_context(cafile=key_and_cert[1]))
        return here

    yield stand
    for each in made:
        each.close()
