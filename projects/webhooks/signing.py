"""How a message is signed, so that whoever gets it knows who sent it, and when: Standard Webhooks, version 1.

webhook-signature is the HMAC-SHA256 of `id.timestamp.body` in base64, one for each secret that is live, with a blank
between. Whoever gets it refuses one whose timestamp is more than five minutes away, and one whose id came before.

A secret is kept nowhere. It is reckoned from the server's own key and a seed that stands in the database, so a copy of
the database alone signs nothing. Beside the seed stands a mark that tells which of the server's keys it was made with.
"""

import base64
import hashlib
import hmac
import secrets
import time

from django.conf import settings
from django.utils.crypto import salted_hmac

PREFIX = "whsec_"
TOLERANCE = 5 * 60  # seconds
SALT = "projects.webhooks.secret"


class KeyGone(Exception):
    """The server's key that the secret was reckoned with is no longer known."""


def new_seed() -> tuple[str, str]:
    """A seed and its mark, for a secret that there was not before."""
    seed = secrets.token_hex(32)
    return seed, _mark(_reckoned(seed, settings.SECRET_KEY))


def secret_of(seed: str, mark: str) -> str:
    """The secret as it is handed over: whsec_ and 32 bytes in base64. Raises KeyGone."""
    return PREFIX + base64.b64encode(_key(seed, mark)).decode()


def _key(seed: str, mark: str) -> bytes:
    for key in (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS):
        reckoned = _reckoned(seed, key)
        if hmac.compare_digest(_mark(reckoned), mark):
            return reckoned
    raise KeyGone


def _reckoned(seed: str, key: str) -> bytes:
    return salted_hmac(SALT, seed, secret=key, algorithm="sha256").digest()


def _mark(reckoned: bytes) -> str:
    return hashlib.sha256(b"mark" + reckoned).hexdigest()[:16]


def headers(said_id: str, at: int, body: bytes, own_secrets: list[str]) -> dict[str, str]:
    """The three headers. at: seconds since 1970."""
    signed = " ".join(signature(said_id, at, body, secret) for secret in own_secrets)
    return {"webhook-id": said_id, "webhook-timestamp": str(at), "webhook-signature": signed}


def signature(said_id: str, at: int, body: bytes, secret: str) -> str:
    key = base64.b64decode(secret.removeprefix(PREFIX))
    signed = hmac.new(key, f"{said_id}.{at}.".encode() + body, hashlib.sha256).digest()
    return "v1," + base64.b64encode(signed).decode()


def is_ours(got: dict[str, str], body: bytes, secret: str, now: float | None = None) -> bool:
    """What a receiver asks: signed with this secret, within the tolerance. It has to remember the ids itself."""
    try:
        said_id, at = got["webhook-id"], int(got["webhook-timestamp"])
        offered = got["webhook-signature"].split()
    except (KeyError, ValueError):
        return False
    if abs((time.time() if now is None else now) - at) > TOLERANCE:
        return False
    wanted = signature(said_id, at, body, secret).encode()
    return any(hmac.compare_digest(wanted, each.encode()) for each in offered)
