"""Headers that every answer carries: a page may load only what this server sends. And whom to tell of a hole."""

import datetime as dt

from django.conf import settings
from django.core.exceptions import BadRequest
from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
        "manifest-src 'self'",
        "worker-src 'self'",
    )
)
# The rest of what a browser could do for a page; the phone's wake lock stays.
NOT_ASKED_FOR = ("accelerometer", "camera", "display-capture", "geolocation", "gyroscope", "magnetometer", "microphone",
                 "midi", "payment", "usb")  # fmt: skip
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": ", ".join(f"{what}=()" for what in NOT_ASKED_FOR),
    "Cache-Control": "private, no-store",
}
VALID_DAYS = 180  # of security.txt; RFC 9116 recommends less than a year


class SecurityHeaders:
    """HEADERS, where a view said nothing else."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        response = self.get_response(request)
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        return response


# What a page's address may name several times; of anything else two are a trick, and a page would read one of them.
MAY_REPEAT = frozenset({"room", "marks", "modes"})


def refuse_repeated(request):
    """Raises BadRequest for a page's address that says a thing twice."""
    if any(len(values) > 1 and name not in MAY_REPEAT for name, values in request.GET.lists()):
        raise BadRequest("The address says a thing twice.")


def security_txt(request):
    """RFC 9116: whom to tell of a weakness, and until when that holds."""
    contact = settings.SECURITY_CONTACT or f"mailto:{settings.DEFAULT_FROM_EMAIL}"
    until = (timezone.now() + dt.timedelta(days=VALID_DAYS)).astimezone(dt.UTC)
    lines = [f"Contact: {contact}", f"Expires: {until:%Y-%m-%dT00:00:00Z}", "Preferred-Languages: en, es"]
    if settings.PUBLIC_URL:
        lines.append(f"Canonical: {settings.PUBLIC_URL}{reverse('security_txt')}")
    return HttpResponse("\n".join(lines) + "\n", content_type="text/plain; charset=utf-8")
