"""POSTs that come with a key: done once, answered alike each time. Knows no record.

Source: draft-ietf-httpapi-idempotency-key-header. The header is taken on every POST and asked for where one makes
several things at once.
"""

import hashlib
from http import HTTPStatus

from django.db import transaction
from django.http import HttpResponse
from rest_framework.exceptions import APIException
from rest_framework.renderers import JSONRenderer
from rest_framework.response import Response

from projects.platform.api.problems import Refused
from projects.traffic import once

HEADER = "Idempotency-Key"
LONGEST = 200
TOLD_AGAIN = ("Location", "ETag")


class KeyMissing(APIException):
    status_code = 400
    default_detail = "Send Idempotency-Key: a text of your own, new for each request, such as a UUID."
    default_code = "key_missing"


class KeyUsedOtherwise(APIException):
    status_code = 422
    default_detail = "This Idempotency-Key came with another request before. Send a new one."
    default_code = "key_used_otherwise"


class InFlight(APIException):
    status_code = 409
    default_detail = "The request with this Idempotency-Key is being worked on. Wait, then send it again."
    default_code = "in_flight"
    wait = once.WAIT


def answers_once(view, post):
    """The view's post, held to its key: what was answered before, or what it does now, kept with its effect."""

    def once_per_key(request, *args, **kwargs):
        key = _key(request, view.key_required)
        if key is None:
            return post(request, *args, **kwargs)
        try:
            held = once.claim(request.member, key, _digest(request))
        except once.UsedOtherwise as used:
            raise KeyUsedOtherwise from used
        except once.InFlight as in_flight:
            raise InFlight from in_flight
        if isinstance(held, once.Answer):
            return HttpResponse(
                held.body, status=held.status, content_type=held.content_type or None, headers=held.headers
            )
        return _done(view, held, lambda: post(request, *args, **kwargs))

    return once_per_key


def _done(view, held, do):
    try:
        with transaction.atomic():
            response = do()
            if response.status_code < HTTPStatus.BAD_REQUEST:
                once.keep(held, _answer(response, view.unkept))
                return response
            transaction.set_rollback(True)
    except once.ClaimLost as lost:
        raise InFlight from lost
    except BaseException:
        once.let_go(held)
        raise
    once.let_go(held)
    return response


def _key(request, required):
    """The key as it was sent, a string of RFC 8941 or bare; None without one. Raises KeyMissing, Refused."""
    given = request.headers.get(HEADER)
    if given is None:
        if required:
            raise KeyMissing
        return None
    key = given.strip()
    if len(key) >= 2 and key[0] == key[-1] == '"':
        key = key[1:-1]
    if not key or len(key) > LONGEST or not all("\x21" <= char <= "\x7e" for char in key):
        said = f"{HEADER} is 1 to {LONGEST} letters, digits and signs without a space, such as a UUID."
        raise Refused([{"parameter": HEADER, "detail": said, "code": "invalid"}])
    return key


def _digest(request):
    """SHA-256 of what is asked: method, address, and the body; of an upload its parts, since boundaries differ."""
    asked = hashlib.sha256(f"{request.method} {request.get_full_path()}\n".encode())
    if request.content_type.startswith("multipart/"):
        for name, value in sorted(request.POST.lists()):
            asked.update(repr((name, value)).encode("utf-8", "backslashreplace"))
        for name, files in sorted(request.FILES.lists()):
            for file in files:
                asked.update(repr((name, file.name, file.size)).encode("utf-8", "backslashreplace"))
                for chunk in file.chunks():
                    asked.update(chunk)
                file.seek(0)
    else:
        asked.update(request._request.body)
    return asked.hexdigest()


def _answer(response, unkept):
    headers = {name: response[name] for name in TOLD_AGAIN if name in response}
    if not isinstance(response, Response):
        return once.Answer(response.status_code, response.content, response["Content-Type"], headers)
    if response.data is None:
        return once.Answer(response.status_code, b"", "", headers)
    told = response.data
    if unkept:
        told = {name: None if name in unkept else value for name, value in told.items()}
    return once.Answer(response.status_code, JSONRenderer().render(told), "application/json", headers)
