"""A file of lists as text: read strictly, so that nothing in it can be understood in two ways."""

import io

from rest_framework.exceptions import APIException

from projects.keeping.lists import Refused
from projects.platform.api.strict_json import MOST_BYTES, StrictJSONParser


def read(content: bytes):
    """Its values. Raises Refused for what is no plain JSON: a key twice, too deep, too long, no UTF-8."""
    if len(content) > MOST_BYTES:
        _refuse(f"The file is over {MOST_BYTES:,} bytes. Send it in parts.")
    try:
        return StrictJSONParser().parse(io.BytesIO(content))
    except APIException as wrong:
        _refuse(str(wrong.detail))


def _refuse(detail):
    raise Refused([{"pointer": "", "detail": detail, "code": "parse_error"}])
