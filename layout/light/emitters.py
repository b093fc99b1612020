"""From a fixture type to the light it gives: its photometric file, else a lobe from beam angle and lumens."""

from __future__ import annotations

from functools import lru_cache

from layout.engine.light import lobe
from layout.engine.light.values import Emitter, Opening
from projects.catalogue.models import FixtureType, PhotometricFile, Shape

NM_IN_A_METER = 1_000_000_000


def meters(distance) -> float:
    """A stored or computed length, as light takes it."""
    return float(distance.nm) / NM_IN_A_METER


def lacks(fixture_type: FixtureType) -> tuple[str, ...]:
    """The names of the fields a light can't be computed without: none where it has a file."""
    if fixture_type.photometric_id is not None:
        return ()
    wanted = {"lumens": fixture_type.lumens, "beam_deg": fixture_type.beam_deg}
    return tuple(name for name, value in wanted.items() if not value)


def emitter_of(fixture_type: FixtureType) -> Emitter:
    """Raises LightError: a file that reads otherwise now, a beam that is none. Ask `lacks` first."""
    if fixture_type.photometric_id is not None:
        return _read(fixture_type.photometric)
    return lobe.from_beam(float(fixture_type.beam_deg), float(fixture_type.lumens), opening_of(fixture_type))


def opening_of(fixture_type: FixtureType) -> Opening:
    """What is seen shining from below; a point where the catalog doesn't say how wide."""
    if not fixture_type.aperture:
        return Opening()
    across = meters(fixture_type.aperture)
    return Opening(across, across, round=fixture_type.shape == Shape.ROUND)


def watts_of(fixture_type: FixtureType) -> float | None:
    """As the catalog says, else as the file does."""
    if fixture_type.watts is not None:
        return float(fixture_type.watts)
    return None if fixture_type.photometric_id is None else fixture_type.photometric.watts


def known_by(fixture_type: FixtureType) -> str:
    """All that its light depends on, as one text."""
    if fixture_type.photometric_id is not None:
        return f"file {fixture_type.photometric.digest}"
    opening = opening_of(fixture_type)
    return f"lobe {fixture_type.beam_deg:g} {fixture_type.lumens:g} {opening!r}"


def _read(file: PhotometricFile) -> Emitter:
    return _photometry(file.text)


@lru_cache(maxsize=32)
def _photometry(text: str) -> Emitter:
    from layout.engine.light import lm63

    return lm63.read(text).photometry
