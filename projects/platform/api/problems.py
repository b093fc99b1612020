"""Every error of the API as application/problem+json (RFC 9457). Knows no record and no page.

Members: type, title, status, detail, and errors: one entry per field with its JSON Pointer (RFC 6901), what is wrong
and the remedy. A length that can be read in two ways carries both readings.
"""

import json
import logging
import sys

from django.core import signals
from django.core.exceptions import PermissionDenied, RequestDataTooBig, SuspiciousOperation, ValidationError
from django.http import Http404, HttpResponse
from django.template import loader
from django.views import defaults
from django.views.decorators.csrf import csrf_exempt
from rest_framework import exceptions

from projects.platform.api.problem_types import type_of
from projects.platform.speaking import speaker
from projects.platform.troubles import AWAY, NO_ROOM, lacking

logger = logging.getLogger("projects.platform.api")

PROBLEM_JSON = "application/problem+json"
NOT_HERE = "There is nothing here."
NOT_YOURS = "Your role in this shop does not include this. The owner can change it."
SAID = {
    exceptions.NotAuthenticated: "Sign in, or send your token: Authorization: Bearer followed by the token.",
    exceptions.NotAcceptable: "This address does not answer in the form that Accept asks for.",
}


class Refused(exceptions.APIException):
    """What was sent can't be taken. errors: dicts of pointer (or parameter), detail, code, and for lengths readings."""

    status_code = 400
    default_detail = "What was sent can't be taken as it stands. Each entry of errors names a field."
    default_code = "refused"

    def __init__(self, errors):
        super().__init__()
        self.more = {"errors": errors}


class CannotBeDone(exceptions.APIException):
    """Understood, and allowed, but what is stored does not permit it: a room nobody taped, a layout with no mark."""

    status_code = 422
    default_code = "cannot_be_done"


class Unavailable(exceptions.APIException):
    status_code = 503
    default_code = "unavailable"


class NoRoom(exceptions.APIException):
    """Nothing more can be kept: the shop's share of files is full, or the server's disk."""

    status_code = 507
    default_code = "no_room"


# How a refusal of a part's own is told; the part says so in its app's `ready`.
TOLD_AS: dict[type[Exception], type[exceptions.APIException]] = {}


def pointer(*path):
    """A JSON Pointer; nothing for the whole body."""
    return "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in path)


def problem(status, detail, *, code="", headers=None, **more):
    kind = type_of(code, status)
    if status >= 500:  # what whoever runs the server looks for in the log
        more["request_id"] = speaker().request
    body = {"type": kind.address, "title": kind.english, "status": status, "detail": str(detail), **more}
    return HttpResponse(
        json.dumps(body, default=str), status=status, content_type=PROBLEM_JSON, headers=headers or {}
    )


def handle(raised, context):
    """Django REST framework's EXCEPTION_HANDLER: nothing leaves in another shape."""
    if type(raised) in TOLD_AS:
        raised = TOLD_AS[type(raised)](str(raised))
    if isinstance(raised, exceptions.APIException):
        more = getattr(raised, "more", {})
        detail = _detail(raised, context.get("view"))
        return problem(raised.status_code, detail, code=raised.default_code, headers=_headers(raised), **more)
    if isinstance(raised, Http404):
        return problem(404, NOT_HERE)
    if isinstance(raised, PermissionDenied):
        return problem(403, NOT_YOURS)
    if isinstance(raised, RequestDataTooBig):
        return problem(413, "The body is too large. Send it in parts.")
    if isinstance(raised, SuspiciousOperation):
        return problem(400, "The request can't be read.")
    if isinstance(raised, ValidationError):
        refused = Refused(list(from_validation(raised)))
        return problem(400, refused.detail, code=refused.default_code, **refused.more)
    return _broken(raised, context)


def from_validation(error, path=()):
    """Django's own refusal as entries of errors."""
    by_field = error.error_dict if hasattr(error, "error_dict") else {None: error.error_list}
    for field, errors in by_field.items():
        for one in errors:
            where = pointer(*path, *([field] if field else []))
            yield from ({"pointer": where, "detail": str(message), "code": one.code} for message in one.messages)


def _detail(raised, view):
    if isinstance(raised, exceptions.UnsupportedMediaType) and view is not None:
        return f"Send the body with Content-Type: {' or '.join(each.media_type for each in view.get_parsers())}."
    if type(raised) in SAID:
        return SAID[type(raised)]
    if isinstance(raised, exceptions.ValidationError):
        return "; ".join(str(each) for each in _flat(raised.detail))
    return raised.detail


def _flat(detail):
    if isinstance(detail, dict):
        detail = list(detail.values())
    if isinstance(detail, list):
        for each in detail:
            yield from _flat(each)
    else:
        yield detail


def _headers(raised):
    headers = {}
    if challenge := getattr(raised, "auth_header", None):
        headers["WWW-Authenticate"] = challenge
    if (wait := getattr(raised, "wait", None)) is not None:
        headers["Retry-After"] = str(int(wait))
    return headers


def _broken(raised, context):
    """A fault of ours: written to the log, told to whoever listens, and nothing of its inside shown."""
    request = context["request"]
    logger.error("%s %s", request.method, request.path, exc_info=raised)
    signals.got_request_exception.send(sender=type(context["view"]), request=request._request)
    return _told_of(raised)


BROKEN = {
    None: "Something went wrong here, not in what you sent. It is in the log.",
    NO_ROOM: "The server has no room left on its disk. Nothing was kept. Whoever runs it has to make room.",
    AWAY: "The database is busy or away. Nothing was kept. Send it again in a moment.",
}


def _told_of(raised):
    lacks = lacking(raised)
    return problem(lacks or 500, BROKEN[lacks], headers={"Retry-After": "10"} if lacks else None)


# Addresses that no view answers


@csrf_exempt
def unknown_address(request):
    return problem(404, NOT_HERE)


def _is_api(request):
    return request.path_info.startswith("/api/")


def bad_request(request, exception):
    if _is_api(request):
        return problem(400, "The request can't be read.")
    return defaults.bad_request(request, exception)


def server_error(request):
    """Asked for while the exception is being handled."""
    raised = sys.exc_info()[1]
    if _is_api(request):
        return _told_of(raised)
    if lacks := lacking(raised):
        page = loader.get_template("500.html").render({"no_room": lacks == NO_ROOM, "away": lacks == AWAY})
        return HttpResponse(page, status=lacks, headers={"Retry-After": "10"})
    return defaults.server_error(request)
