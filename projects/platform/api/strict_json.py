"""JSON bodies read strictly: what could be understood in two ways is refused. Knows nothing of what is sent."""

import json
import math
from decimal import Decimal, InvalidOperation

from rest_framework.exceptions import APIException, ParseError
from rest_framework.parsers import BaseParser

MOST_BYTES = 1_000_000
DEEPEST = 32


class BodyTooLarge(APIException):
    status_code = 413
    default_detail = f"The body is over {MOST_BYTES:,} bytes. Send it in parts."
    default_code = "too_large"


class StrictJSONParser(BaseParser):
    """One JSON value in UTF-8. Numbers with a point come as Decimal, exactly as written."""

    media_type = "application/json"

    def parse(self, stream, media_type=None, parser_context=None):
        """Raises BodyTooLarge, and ParseError for what is not plain JSON."""
        raw = stream.read(MOST_BYTES + 1)
        if len(raw) > MOST_BYTES:
            raise BodyTooLarge
        try:
            found = json.loads(
                raw.decode("utf-8"),
                object_pairs_hook=_no_key_twice,
                parse_float=_finite,
                parse_constant=_no_constant,
            )
        except UnicodeDecodeError as error:
            raise ParseError("The body is not UTF-8. Send JSON in UTF-8.") from error
        except RecursionError as error:
            raise ParseError(_too_deep()) from error
        except ValueError as error:
            raise ParseError(f"The body is not JSON: {error}.") from error
        _check_values(found)
        return found


def _no_key_twice(pairs):
    found = dict(pairs)
    if len(found) < len(pairs):
        seen = set()
        twice = next(key for key, _ in pairs if key in seen or seen.add(key))
        raise ParseError(f"“{_shown(twice)}” stands twice in one object. Send it once.")
    return found


def _finite(text):
    if math.isinf(float(text)):
        raise ParseError(f"{text[:40]} is too large for a number.")
    try:
        return Decimal(text)
    except InvalidOperation as error:  # nought, or next to it, with an exponent of more than 18 digits
        raise ParseError(f"{text[:40]} is not a number that can be kept. Send fewer digits after its e.") from error


def _no_constant(text):
    raise ParseError(f"{text} is not a JSON number. Send a number, or null.")


def _check_values(found):
    """Depth, and text that can't be written down: without recursion, so that depth itself does no harm."""
    waiting = [(found, 0)]
    while waiting:
        value, depth = waiting.pop()
        if isinstance(value, str):
            _check_text(value)
        elif isinstance(value, (dict, list)):
            if depth >= DEEPEST:
                raise ParseError(_too_deep())
            if isinstance(value, dict):
                for key in value:
                    _check_text(key)
            inside = value.values() if isinstance(value, dict) else value
            waiting.extend((each, depth + 1) for each in inside)


def _check_text(text):
    if any("\ud800" <= char <= "\udfff" for char in text):
        raise ParseError("Half of a surrogate pair stands alone in a text. Send whole characters.")
    if "\0" in text:
        raise ParseError("A text holds the character NUL. Leave it out.")


def _too_deep():
    return f"The body is nested deeper than {DEEPEST} levels."


def _shown(key):
    return key[:40].encode("ascii", "backslashreplace").decode()
