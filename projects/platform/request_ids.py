"""Each request has an id: taken over from whoever stands in front if it is a plain one, else made here.

It goes out in a header, stands on the page of an error, in every line of the log and in what the request changed.
"""

import logging
import re
import secrets
from time import perf_counter, thread_time

from projects.platform.logs import REQUESTS, route_of
from projects.platform.speaking import fall_silent, speak

HEADER = "X-Request-ID"
PLAIN = re.compile(r"[A-Za-z0-9._-]{8,64}")
TRACE = re.compile(r"[0-9a-f]{2}-([0-9a-f]{32})-[0-9a-f]{16}-[0-9a-f]{2}")  # W3C Trace Context, traceparent

log = logging.getLogger(REQUESTS)


class RequestId:
    """The outermost middleware: whatever fails inside is answered and logged under the id."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        given = request.headers.get(HEADER, "")
        request.id = given if PLAIN.fullmatch(given) else secrets.token_hex(12)
        began, worked, token = perf_counter(), thread_time(), speak(request=request.id)
        try:
            response = self.get_response(request)
            response.headers[HEADER] = request.id
            if log.isEnabledFor(logging.INFO) and not getattr(request, "asked_often", False):
                took = perf_counter() - began, thread_time() - worked
                log.info("answered", extra={"facts": _facts(request, response, *took)})
            return response
        finally:
            fall_silent(token)


def _facts(request, response, seconds, of_work):
    """What a line says of a request: names of OpenTelemetry's conventions for HTTP where there are any."""
    facts = {
        "http.request.method": request.method if request.method in METHODS else "_OTHER",
        "http.route": route_of(request),
        "http.response.status_code": response.status_code,
        "ms": round(seconds * 1000, 1),
        "ms_of_work": round(of_work * 1000, 1),  # of this thread on a core: what a busy machine does not add to
    }
    if (shop := getattr(request, "shop", None)) is not None:
        facts["shop"] = shop.pk
    if trace := TRACE.fullmatch(request.headers.get("traceparent", "")):
        facts["trace_id"] = trace[1]
    return facts


METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "CONNECT"})
