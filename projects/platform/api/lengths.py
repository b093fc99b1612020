"""Lengths in JSON: written as people write them or in whole nanometers, read back as both. Never a JSON number."""

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from layout.engine.lengths import Unit

NM_PER_MM = 1_000_000
REMEDY = (
    "A length is text with its unit, like \"12' 6 1/2\\\"\", \"150 1/2 in\" or \"3840 mm\", or "
    '{"nm": whole nanometers}. A bare number is not taken: nobody could tell its unit.'
)


EXAMPLE = {Unit.INCH: "12' 6 1/2\"", Unit.MM: "3840 mm"}


class NotALength(ValueError):
    def __init__(self):
        super().__init__(REMEDY)


def typed(value):
    """A length from JSON as it would be typed into a box. Raises NotALength.

    {"nm": n} becomes exact millimeters, so that one reader reads both. The "text" of a length that was read from here
    may stand beside nm; nm counts.
    """
    if isinstance(value, str):
        return value
    if isinstance(value, dict) and "nm" in value and value.keys() <= {"nm", "text"}:
        nm = value["nm"]
        if isinstance(nm, int) and not isinstance(nm, bool):
            return in_millimeters(nm)
    raise NotALength


def in_millimeters(nm):
    """3840000000 as '3840 mm', exactly."""
    whole, part = divmod(abs(nm), NM_PER_MM)
    decimals = f".{part:06}".rstrip("0") if part else ""
    return f"{'-' if nm < 0 else ''}{whole}{decimals} mm"


def shown(distance, tape):
    """{"nm": to the nearest nanometer, "text": as the tape prints it}; None stays None."""
    return None if distance is None else {"nm": round(distance.nm), "text": tape.show(distance)}


@extend_schema_field(
    {
        "oneOf": [
            {"type": "string", "maxLength": 64, "examples": ["12' 6 1/2\"", "150 1/2 in", "3840 mm"]},
            {
                "type": "object",
                "properties": {"nm": {"type": "integer", "examples": [3_822_700_000]}, "text": {"type": "string"}},
                "required": ["nm"],
                "additionalProperties": False,
            },
        ]
    }
)
class LengthIn(serializers.Field):
    """Describes what `typed` takes."""


@extend_schema_field(
    {
        "type": "object",
        "properties": {"nm": {"type": "integer"}, "text": {"type": "string"}},
        "required": ["nm", "text"],
    }
)
class LengthOut(serializers.Field):
    """Needs the tape in the serializer's context."""

    def __init__(self, **kwargs):
        super().__init__(**{**kwargs, "read_only": True})

    def to_representation(self, value):
        return shown(value, self.context["tape"])
