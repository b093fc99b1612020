"""What is kept word for word: one text for a value, and a digest that vouches for it. Knows no bid."""

from __future__ import annotations

import hashlib
import json


class Altered(Exception):
    """What was kept is no longer what was sent. A fault that no page may paper over."""


def canonical(value: object) -> str:
    """Plain values as JSON: the same value is the same bytes."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=True)


def digest_of(*texts: str) -> str:
    return hashlib.sha256("\n".join(texts).encode()).hexdigest()
