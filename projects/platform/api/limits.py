"""How much may be asked in a minute: of a token or a signed-in person, and of an address that nobody knows.

settings.API_PER_MINUTE and API_UNKNOWN_PER_MINUTE; 0 lifts a limit.
"""

from django.conf import settings
from rest_framework.exceptions import APIException

from projects.platform.address import client_address, counted_as
from projects.traffic.counts import spend, take

MINUTE = 60


class TooOften(APIException):
    """wait: in seconds, told as Retry-After."""

    status_code = 429
    default_detail = "Too many requests in this minute. Wait as many seconds as Retry-After says."
    default_code = "throttled"

    def __init__(self, wait):
        super().__init__()
        self.wait = wait


def count_known(request):
    """Raises TooOften. A token counts for itself, so that one program can't use up another's share."""
    most = settings.API_PER_MINUTE
    if most:
        _refuse_after(spend(f"token {request.auth.pk}" if request.auth else f"user {request.user.pk}", most, MINUTE))


def count_unknown(request):
    """Somebody without a token or with one that opens nothing. Raises TooOften."""
    most = settings.API_UNKNOWN_PER_MINUTE
    if most:
        _refuse_after(take(f"address {counted_as(client_address(request._request))}", most, MINUTE))


def _refuse_after(wait):
    if wait:
        raise TooOften(wait)
