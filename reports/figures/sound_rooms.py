"""Figures of sound in air and in rooms: absorption, weighting, modes, reverberation, bass. Engine calls only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from layout.engine.sound import air, box, levels, modes, reverberation, subs, weighting
from reports.figures.figure import Input, Result
from reports.figures.kinds import ListOf, Number, OneOf, Row, Whole
from reports.figures.sound import figure, speed

MOST_SURFACES = 500
MOST_PLACED = 64
SIDE, ANYWHERE = Number(high=1e6), Number(low=-1e6, high=1e6)
BOX_ONLY = "A hard-walled box with the same damping everywhere: guidance, real rooms leak and have doors."
PLACE = Row(("x", "y", "z"), ANYWHERE)

ROOM = Input("room_m", "Room", Row(("length", "width", "height"), SIDE), "m", [6.0, 4.5, 2.7])
T60 = Input("t60_s", "Reverberation time", Number(high=1e6), "s", 0.5)
VOLUME = Input("volume_m3", "Volume", Number(), "m3", 72.9)


def hertz(example: float) -> Input:
    return Input("f_hz", "Frequency", Number(), "Hz", example)


def celsius() -> Input:
    return Input("temp_c", "Temperature", Number(low=air.COLDEST_C, high=air.HOTTEST_C), "C", 20)


def places(name: str, label: str, example: Any) -> Input:
    return Input(name, label, ListOf(PLACE, MOST_PLACED, 1, of_what="places [x, y, z]"), "m", example)


def _air(temp_c: float, rh_percent: float, f_hz: float, pressure_kpa: float) -> Mapping[str, object]:
    return {"db_per_km": 1000 * air.absorption_db_per_m(temp_c, rh_percent, f_hz, pressure_kpa)}


def _mode(room_m: Sequence[float], mode: Sequence[int], c: float) -> Mapping[str, object]:
    hz = modes.mode_hz(room_m, mode, c)
    return {"hz": hz, "kind": modes.RoomMode((mode[0], mode[1], mode[2]), hz).kind.value}


def _mode_count(**given: Any) -> Mapping[str, object]:
    return {"count": modes.count_below(**given), "about": modes.about_below(**given)}


def _t60(**given: Any) -> Mapping[str, object]:
    found = reverberation.t60(**given)
    return {
        "s": found.t60_s,
        "absorption_m2": found.absorption_m2,
        "air_m2": found.air_m2,
        "mean_alpha": found.mean_alpha,
        "capped": found.capped,
    }


FIGURES = (
    figure(
        name="sound.speed",
        title="Speed of sound",
        inputs=(celsius(),),
        results=(Result("m_per_s", "In dry air", "m/s"),),
        rule="343.2 sqrt((T + 273.15) / 293.15). Humidity adds 0.1 to 0.6 %.",
        source="ISO 9613-1 form (seen)",
        reckon=lambda temp_c: {"m_per_s": air.speed_m_per_s(temp_c)},
    ),
    figure(
        name="sound.air",
        title="What air takes of a tone",
        inputs=(
            celsius(),
            Input("rh_percent", "Relative humidity", Number(high=100, zero=True), "%", 50),
            hertz(1000),
            Input(
                "pressure_kpa",
                "Air pressure",
                Number(low=1, high=200),
                "kPa",
                air.REFERENCE_KPA,
                usual=air.REFERENCE_KPA,
                optional=True,
            ),
        ),
        results=(Result("db_per_km", "Taken", "dB/km"),),
        rule="Classical absorption and the relaxation of oxygen and nitrogen. At the frequency as it is given: printed"
        " tables are for exact bands, 3981.07 Hz and not 4000.",
        source="ISO 9613-1:1993 (three public codes agree, seen)",
        reckon=_air,
    ),
    figure(
        name="sound.weighting",
        title="A or C weighting",
        inputs=(Input("curve", "Curve", OneOf(("A", "C")), "", "A"), hertz(1000)),
        results=(Result("db", "To add", "dB"),),
        rule="Poles at 20.6 and 12 194 Hz, twice each; A also at 107.7 and 737.9; 0 dB at 1 kHz.",
        source="IEC 61672-1 annex E (through two public libraries, seen)",
        reckon=lambda **given: {"db": weighting.weighting_db(**given)},
    ),
    figure(
        name="sound.mode",
        title="A mode of a room",
        inputs=(
            ROOM,
            Input(
                "mode",
                "Mode",
                Row(("along", "across", "up"), Whole(0, modes.HIGHEST_INDEX)),
                "",
                [1, 1, 0],
            ),
            speed(),
        ),
        results=(Result("hz", "Frequency", "Hz"), Result("kind", "Kind", "")),
        rule="c / 2 sqrt((l / Lx)^2 + (m / Ly)^2 + (n / Lz)^2), hard walls.",
        source="Rayleigh, through an engineer's pocket book (seen in part)",
        reckon=_mode,
    ),
    figure(
        name="sound.mode_count",
        title="Modes of a room up to a frequency",
        inputs=(ROOM, hertz(150), speed()),
        results=(Result("count", "Modes", ""), Result("about", "By the smooth formula", "")),
        rule="Counted one by one, those at the frequency too; the even pressure (0, 0, 0) is none.",
        source="closed form; the smooth count from published notes (seen)",
        reckon=_mode_count,
    ),
    figure(
        name="sound.schroeder",
        title="Where modes run together",
        inputs=(T60, VOLUME),
        results=(Result("hz", "About", "Hz"),),
        rule="2000 sqrt(T / V), meters and seconds only. A region, not a line.",
        source="Schroeder (from memory); three modes to a mode's width come to 2093",
        reckon=lambda **given: {"hz": modes.schroeder_hz(**given)},
    ),
    figure(
        name="sound.t60",
        title="Reverberation time",
        inputs=(
            Input("formula", "Formula", OneOf(tuple(one.value for one in reverberation.Formula)), "", "sabine"),
            Input(
                "areas_m2",
                "Areas",
                ListOf(Number(), MOST_SURFACES, 1, of_what="areas, m2"),
                "m2",
                [240, 600, 500],
                hint="arau: the pairs of surfaces across x, y and z",
            ),
            Input(
                "alpha",
                "Absorption of each",
                ListOf(Number(low=1e-9, high=reverberation.MOST_ALPHA, zero=True), MOST_SURFACES, 1, of_what="shares"),
                "",
                [0.1, 0.25, 0.45],
            ),
            Input("volume_m3", "Volume", Number(), "m3", 3000),
            speed(),
            Input("air_db_per_m", "Taken by air", Number(high=100, zero=True), "dB/m", 0.0, usual=0.0, optional=True),
        ),
        results=(
            Result("s", "Time for 60 dB", "s"),
            Result("absorption_m2", "Absorption of the surfaces", "m2"),
            Result("air_m2", "And of the air", "m2"),
            Result("mean_alpha", "Mean absorption", ""),
            Result("capped", "A coefficient over 0.99 was taken as that", ""),
        ),
        rule="24 ln10 / c x V / (A + 4 m V). A: sum S a (sabine), -S ln(1 - mean a) (eyring), -sum S ln(1 - a)"
        " (millington); arau: the three Eyring times' geometric mean by area.",
        source="definitions; sabine, eyring and arau agree with an open library's test vector (seen)",
        reckon=_t60,
        cautions=("Diffuse sound is taken for granted. Sabine overstates above a mean absorption of some 0.2.",),
    ),
    figure(
        name="sound.critical_distance",
        title="Where the room is as loud as the speaker",
        inputs=(Input("q", "Directivity Q", Number(high=1e6), "", 10), VOLUME, T60),
        results=(Result("m", "Distance", "m"),),
        rule="0.0566 sqrt(Q V / T).",
        source="0.057 on a published help page (seen); sqrt(0.161 / 16 pi)",
        reckon=lambda q, volume_m3, t60_s: {"m": levels.critical_distance_m(q, volume_m3, t60_s)},
    ),
    figure(
        name="sound.box",
        title="Bass of one source at one place in a room",
        inputs=(
            ROOM,
            Input("source_m", "Source", PLACE, "m", [0.3, 0.4, 0.2]),
            Input("receiver_m", "Ears", PLACE, "m", [3.9, 2.1, 1.2]),
            hertz(35),
            T60,
            speed(),
        ),
        results=(Result("db", "Against the open air at 1 m", "dB"),),
        rule="Modes of the plan with the closed form in z; k = (2 pi f - 3 i ln10 / T) / c.",
        source="rigid box with uniform damping; the same as the sum over mirrored sources to 1e-9 dB",
        reckon=lambda **given: {"db": box.level_db(**given)},
        cautions=(BOX_ONLY,),
    ),
    figure(
        name="sound.sub_drive",
        title="How four subs drive a mode of the plan",
        inputs=(
            Input("placement", "Four subs at", OneOf(tuple(subs.PLACEMENTS)), "", "wall_midpoints"),
            Input("mode", "Mode", Row(("along", "across"), Whole(0, modes.HIGHEST_INDEX)), "", [2, 2]),
        ),
        results=(Result("value", "Of 4", ""),),
        rule="Sum of cos(n pi x / L) cos(m pi y / W): 4 is all they have, 0 not at all.",
        source="closed form",
        reckon=lambda **given: {"value": subs.drive(**given)},
    ),
    figure(
        name="sound.seat_spread",
        title="How unlike the seats are at one note",
        inputs=(
            ROOM,
            places("subs_m", "Subs", [[3.0, 0, 0], [3.0, 4.5, 0], [0, 2.25, 0], [6.0, 2.25, 0]]),
            places("seats_m", "Ears", [[3.0, 1.35, 1.1], [3.0, 2.25, 1.1], [3.9, 1.35, 1.1], [3.9, 2.25, 1.1]]),
            hertz(38),
            T60,
            speed(),
        ),
        results=(Result("db", "Loudest seat less quietest", "dB"),),
        rule="Subs alike and in phase, pressures added before levels are taken; hard-walled box.",
        source="the same as the sum over mirrored sources; rigid box with uniform damping",
        reckon=lambda **given: {"db": subs.seat_spread_db(**given)},
        cautions=(BOX_ONLY,),
    ),
)
