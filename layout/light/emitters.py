"""What a fixture type's light is known by, and what is missing where it isn't. The light itself is the catalog's."""

from __future__ import annotations

from projects.catalogue.models import FixtureType
from projects.catalogue.photometric import light_file, opening_of


def lacks(fixture_type: FixtureType) -> tuple[str, ...]:
    """The names of the fields a light can't be computed without: none where it has a file."""
    if fixture_type.photometric_id is not None:
        return ()
    wanted = {"lumens": fixture_type.lumens, "beam_deg": fixture_type.beam_deg}
    return tuple(name for name, value in wanted.items() if not value)


def watts_of(fixture_type: FixtureType) -> float | None:
    """As the catalog says, else as the file does."""
    if fixture_type.watts is not None:
        return float(fixture_type.watts)
    told = None if fixture_type.photometric_id is None else fixture_type.photometric.watts
    return None if told is None else float(told)


def tilted(fixture_type: FixtureType, tilt_deg: float) -> float:
    """What is left of its lamp's output when it is tilted so far; 1 unless its file tells otherwise."""
    if fixture_type.photometric_id is None or not tilt_deg:
        return 1.0
    tilt = light_file(fixture_type.photometric.text).tilt
    return 1.0 if tilt is None else tilt.factor_at(tilt_deg)


def known_by(fixture_type: FixtureType) -> str:
    """All that its light depends on, as one text."""
    if fixture_type.photometric_id is not None:
        return f"file {fixture_type.photometric.digest}"
    return f"lobe {fixture_type.beam_deg:g} {fixture_type.lumens:g} {opening_of(fixture_type)!r}"
