"""A constant-voltage line's taps against its amplifier. Puts records and the engine's sum together."""

from dataclasses import dataclass

from layout.engine.marks import Kind
from layout.engine.wiring.speaker_lines import LINE_SHARE_PERCENT, LineLoad, line_load
from projects.jobs.circuits import SpeakerRun


@dataclass(frozen=True, slots=True)
class Line:
    """speakers: how many hang on it. load: None where a tap or the amplifier isn't known. tap_there: the speakers have
    that tap; None where the catalog doesn't say.
    """

    speakers: int
    volts: float | None
    load: LineLoad | None
    share_percent: float = LINE_SHARE_PERCENT
    tap_there: bool | None = None

    @property
    def over(self):
        return self.load is not None and self.load.headroom_w < 0


def line_of(room, layout, speaker_type) -> Line | None:
    """None: the room's speakers hang on no line, or there are none."""
    wiring = getattr(room, "speaker_wiring", None)
    speakers = sum(mark.kind is Kind.SPEAKER for mark in layout.arrangement.marks)
    if wiring is None or wiring.kind != SpeakerRun.CHAINED_LINE or not speakers:
        return None
    volts = float(wiring.line_volts) if wiring.line_volts is not None else None
    load = None
    if volts and wiring.tap_watts and wiring.amplifier_watts:
        load = line_load(volts, [float(wiring.tap_watts)] * speakers, float(wiring.amplifier_watts))
    taps = [float(tap) for tap in speaker_type.tap_watts.split(",") if tap.strip()] if speaker_type else []
    there = float(wiring.tap_watts) in taps if taps and wiring.tap_watts else None
    return Line(speakers, volts, load, tap_there=there)
