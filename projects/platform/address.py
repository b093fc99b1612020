"""Where on the network a request came from, and whom that is taken from. Knows no record.

A proxy writes the client's address into X-Forwarded-For; so can anybody else. It is read only when the peer itself is
one of settings.TRUSTED_PROXIES, and then from the right, past each of them.
"""

from ipaddress import AddressValueError, IPv6Address, ip_address, ip_network

from django.conf import settings

FORWARDED = "HTTP_X_FORWARDED_FOR"
TOLD_BY_A_PROXY = (FORWARDED, "HTTP_X_FORWARDED_PROTO", "HTTP_X_FORWARDED_HOST", "HTTP_X_FORWARDED_PORT")
UNIX = "unix"  # in TRUSTED_PROXIES: a peer without an address, behind a socket of this machine


class ForwardedByProxies:
    """Middleware, the first of all: what a peer that is no proxy of ours says of itself is dropped."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        if not _is_ours(request.META.get("REMOTE_ADDR", "")):
            for name in TOLD_BY_A_PROXY:
                request.META.pop(name, None)
        return self.get_response(request)


def client_address(request):
    """The client's address as text, the nearest that no proxy of ours stands behind; "" when there is none."""
    nearest = request.META.get("REMOTE_ADDR", "")
    if _is_ours(nearest):
        for told in reversed(request.META.get(FORWARDED, "").split(",")):
            if not (told := told.strip()):
                continue
            if _read(told) is None:
                break
            nearest = told
            if not _is_ours(told):
                break
    return nearest


def counted_as(address):
    """What tries from an address are counted under: IPv6 by its /64, which one customer has whole; "" stays."""
    read = _read(address)
    if read is None:
        return address
    if isinstance(read, IPv6Address):
        if read.ipv4_mapped:
            return str(read.ipv4_mapped)
        return str(ip_network((int(read) >> 64 << 64, 64)))
    return str(read)


def _is_ours(address):
    if not address:
        return UNIX in settings.TRUSTED_PROXIES
    read = _read(address)
    return read is not None and any(read in ip_network(one) for one in settings.TRUSTED_PROXIES if one != UNIX)


def _read(address):
    try:
        return ip_address(address)
    except (ValueError, AddressValueError):
        return None
