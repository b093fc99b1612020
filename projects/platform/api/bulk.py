"""Several things at once: all of them or none, with a word about each. Knows no record.

A body is {"items": [...]}, each item what one POST of its own would take.
"""

from django.db import transaction
from django.http import Http404
from rest_framework import serializers
from rest_framework.exceptions import APIException

from projects.platform.api.problems import NOT_HERE, Refused, pointer

ITEMS = "items"
MOST_AT_ONCE = 200


class BulkRefused(APIException):
    """items: how each stands, in order; errors: what is wrong, each at its place in the body."""

    status_code = 400
    default_detail = "Not all of it can be taken, so none of it was. items says how each one stands."
    default_code = "bulk_refused"

    def __init__(self, items, errors):
        super().__init__()
        self.more = {ITEMS: items, "errors": errors}


def many(shape):
    """A serializer class for {"items": [...]} of a shape, for bodies and answers alike."""
    fields = {ITEMS: shape(many=True, max_length=MOST_AT_ONCE, min_length=1)}
    return type("Several" + shape.__name__, (serializers.Serializer,), fields)


def listed(given):
    """The items of a body. Raises Refused."""
    if not isinstance(given, dict):
        raise Refused([{"pointer": "", "detail": "Send one JSON object.", "code": "invalid"}])
    errors = [
        {"pointer": pointer(name), "detail": "There is no such field here. Send items alone.", "code": "unknown"}
        for name in given
        if name != ITEMS
    ]
    items = given.get(ITEMS)
    if not isinstance(items, list) or not items:
        errors.append({"pointer": pointer(ITEMS), "detail": "Give a list with at least one in it.", "code": "required"})
    elif len(items) > MOST_AT_ONCE:
        said = f"At most {MOST_AT_ONCE} at once. Send the rest in a second request."
        errors.append({"pointer": pointer(ITEMS), "detail": said, "code": "too_many"})
    if errors:
        raise Refused(errors)
    return items


def all_or_none(items, do):
    """What do(item) gives for each. Every item is tried, so that all that is wrong is told at once.

    Raises BulkRefused when one or more raised; nothing stays then.
    """
    done, report, errors = [], [], []
    with transaction.atomic():
        for n, item in enumerate(items):
            try:
                with transaction.atomic():  # what a later one stands on is there; what failed is not
                    done.append(do(item))
                report.append({"index": n, "status": 200, "detail": "This one could be taken."})
            except (APIException, Http404) as raised:
                status, detail = _said(raised)
                report.append({"index": n, "status": status, "detail": detail})
                errors += _placed(raised, n, detail)
        if errors:
            transaction.set_rollback(True)
    if errors:
        raise BulkRefused(report, errors)
    return done


def _said(raised):
    if isinstance(raised, Http404):
        return 404, NOT_HERE
    return raised.status_code, str(raised.detail)


def _placed(raised, n, detail):
    own = getattr(raised, "more", {}).get("errors")
    if not own:
        code = getattr(raised, "default_code", "not_found")
        return [{"pointer": pointer(ITEMS, n), "detail": detail, "code": code}]
    return [error | {"pointer": pointer(ITEMS, n) + error.get("pointer", "")} for error in own]
