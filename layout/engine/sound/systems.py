"""The loudspeaker layouts of two broadcast recommendations, as data: where each channel may stand, seen from the seat.

Degrees; azimuth positive to the LEFT, 0 straight ahead; elevation 0 at ear height, 90 overhead.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

Span = tuple[float, float]
EAR_HEIGHT: Span = (0.0, 0.0)
UPPER: Span = (30.0, 55.0)


@dataclass(frozen=True, slots=True)
class Channel:
    """name: as the recommendation writes it; label: in words. A range of one value is a fixed angle."""

    name: str
    label: str
    azimuth: float
    az_range: Span
    elevation: float
    el_range: Span


@dataclass(frozen=True, slots=True)
class System:
    """A layout. Channels for bass alone have no place and aren't listed; bass says how many there are."""

    name: str
    source: str
    channels: tuple[Channel, ...]
    bass: int = 0

    def channel(self, name: str) -> Channel | None:
        return next((one for one in self.channels if one.name == name), None)


def _both(
    left: str,
    right: str,
    label: str,
    azimuth: float,
    az_range: Span,
    el_range: Span = EAR_HEIGHT,
    elevation: float = 0.0,
) -> tuple[Channel, Channel]:
    """A left channel and its mirror image."""
    low, high = az_range
    return (
        Channel(left, f"left {label}".strip(), azimuth, az_range, elevation, el_range),
        Channel(right, f"right {label}".strip(), -azimuth, (-high, -low), elevation, el_range),
    )


BS_775 = "ITU-R BS.775-3, figure 1; surrounds at ear height or up to 15 degrees above"
BS_2051 = "ITU-R BS.2051, ranges as coded in an open broadcaster's renderer"
CENTER = Channel("M+000", "center", 0.0, (0.0, 0.0), 0.0, EAR_HEIGHT)
FRONT = _both("M+030", "M-030", "", 30.0, (30.0, 30.0))
WIDE_FRONT = _both("M+030", "M-030", "", 30.0, (30.0, 45.0))
SURROUND = _both("M+110", "M-110", "surround", 110.0, (100.0, 120.0), (0.0, 15.0))
SIDE = _both("M+090", "M-090", "side", 90.0, (85.0, 110.0))
BACK = _both("M+135", "M-135", "back", 135.0, (120.0, 150.0))
UPPER_FRONT = _both("U+030", "U-030", "upper front", 30.0, (30.0, 45.0), UPPER, 30.0)
UPPER_BACK = _both("U+110", "U-110", "upper back", 110.0, (100.0, 135.0), UPPER, 30.0)
SEVEN = (*WIDE_FRONT, CENTER, *SIDE, *BACK)

_ALL = (
    System("BS.775 2/0", BS_775, _both("L", "R", "", 30.0, (30.0, 30.0))),
    System(
        "BS.775 3/2",
        BS_775,
        (
            *_both("L", "R", "", 30.0, (30.0, 30.0)),
            Channel("C", "center", 0.0, (0.0, 0.0), 0.0, EAR_HEIGHT),
            *_both("LS", "RS", "surround", 110.0, (100.0, 120.0), (0.0, 15.0)),
        ),
        1,
    ),
    System(
        "BS.775 3/4",
        BS_775 + "; two surrounds a side, evenly on the arc from 60 to 150",
        (
            *_both("L", "R", "", 30.0, (30.0, 30.0)),
            Channel("C", "center", 0.0, (0.0, 0.0), 0.0, EAR_HEIGHT),
            *_both("LS1", "RS1", "side surround", 90.0, (60.0, 105.0), (0.0, 15.0)),
            *_both("LS2", "RS2", "back surround", 130.0, (105.0, 150.0), (0.0, 15.0)),
        ),
        1,
    ),
    System("BS.2051 0+5+0", BS_2051, (*FRONT, CENTER, *SURROUND), 1),
    System("BS.2051 2+5+0", BS_2051, (*FRONT, CENTER, *SURROUND, *UPPER_FRONT), 1),
    System("BS.2051 4+5+0", BS_2051, (*FRONT, CENTER, *SURROUND, *UPPER_FRONT, *UPPER_BACK), 1),
    System(
        "BS.2051 3+7+0",
        BS_2051,
        (
            *FRONT,
            CENTER,
            *_both("M+090", "M-090", "side", 90.0, (60.0, 150.0)),
            *_both("M+135", "M-135", "back", 135.0, (60.0, 150.0)),
            *_both("U+045", "U-045", "upper front", 45.0, (30.0, 45.0), (30.0, 45.0), 30.0),
            Channel("UH+180", "upper back", 180.0, (180.0, 180.0), 45.0, (45.0, 90.0)),
        ),
        2,
    ),
    System("BS.2051 0+7+0", BS_2051, SEVEN, 1),
    System(
        "BS.2051 4+7+0",
        BS_2051,
        (
            *SEVEN,
            *_both("U+045", "U-045", "upper front", 45.0, (30.0, 45.0), UPPER, 30.0),
            *_both("U+135", "U-135", "upper back", 135.0, (100.0, 150.0), UPPER, 30.0),
        ),
        1,
    ),
)
LAYOUTS: Mapping[str, System] = {one.name: one for one in _ALL}
