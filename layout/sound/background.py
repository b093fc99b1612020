"""The page of coverage and level: circles at ear height, the level of all speakers together, taps, headroom.

Puts the gathered room and the engine's answers together for a template. Never raises for what a room lacks.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from layout.drawing.picture import Picture, Table
from layout.engine.sound import coverage, levels
from layout.engine.sound.values import SoundError
from layout.sound import missing
from layout.sound.overlap import Overlap, overlap_of
from layout.sound.pictures.coverage import LevelGrid, coverage_picture, level_picture
from layout.sound.pictures.values import length
from layout.sound.words import decibels, degrees, refusal
from layout.switching.speakers import Line, line_of
from projects.catalogue.models import MeasuredIn

PEAKS_DB = 10.0  # of music above its mean; common practice, no source
WITHIN_DB = 3.0
LOUD_DB = 85.0  # over eight hours: recommended limit of NIOSH, A-weighted; from memory
SENSED = {
    MeasuredIn.HALF_SPACE: _lazy("its sheet measures in a baffle, as it sits here: it holds down to the bass"),
    MeasuredIn.FREE_FIELD: _lazy(
        "its sheet measures in the open: the ceiling adds up to 6 dB to the low notes, nothing to the high ones"
    ),
    MeasuredIn.UNKNOWN: _lazy(
        "its sheet wasn't read for baffle or open: low notes may be up to 6 dB louder than told, high ones are as told"
    ),
}
NUMBERS = (9, 7)  # written on the map at most, across and up


@dataclass(frozen=True, slots=True)
class BackgroundPage:
    missing: tuple[missing.Missing, ...] = ()
    circles: Picture | None = None
    map: Picture | None = None
    overlap: Overlap | None = None
    facts: tuple[tuple[str, str, str], ...] = ()  # what, its number, what it stands on
    line: Line | None = None
    told: tuple[tuple[str, str], ...] = ()  # tone and words
    lede: str = ""
    loud: str = ""  # a caution
    figures: dict = field(default_factory=dict)  # for programs


def background_page(heard) -> BackgroundPage:
    lacking = tuple(_lacking(heard))
    if lacking and not _angle_known(heard):
        return BackgroundPage(lacking, line=_line(heard))
    try:
        return _page(heard, lacking)
    except SoundError as refused:
        cannot = missing.Missing(_("Coverage can't be told."), refusal(refused, heard.tape))
        return BackgroundPage((*lacking, cannot), line=_line(heard))


def _line(heard):
    return line_of(heard.room, heard.layout, heard.speaker_type) if heard.layout is not None else None


def _lacking(heard):
    if heard.layout is None:
        yield missing.layout(heard)
        return
    if not heard.ceiling_speakers:
        yield missing.speakers(heard)
        return
    if heard.size.high_m is None:
        yield missing.height(heard)
    elif heard.size.high_m <= heard.ear_m:
        yield missing.low_ceiling(heard)
    kind, lacks = heard.speaker_type, []
    if kind.coverage_deg is None:
        lacks.append(_("coverage angle"))
    if kind.sensitivity_db is None:
        lacks.append(_("sensitivity"))
    elif heard.sensitivity_db() is None:
        lacks.append(_("impedance (its sensitivity is given at 2.83 V)"))
    if lacks:
        yield missing.of_the_type(heard, lacks)


def _angle_known(heard):
    """Whether circles can be drawn: a height over the ears, and an angle."""
    if heard.layout is None or not heard.ceiling_speakers or heard.size.high_m is None:
        return False
    return heard.size.high_m > heard.ear_m and heard.speaker_type.coverage_deg is not None


def _page(heard, lacking):
    tape, sensitivity, watts = heard.tape, heard.sensitivity_db(), heard.watts_each()
    # Without a sensitivity the levels stand against one another only
    speakers = heard.loudspeakers(watts or 1.0, sensitivity or 0.0)
    found = coverage.coverage(heard.size.walls.corners, speakers, heard.ear_m, within_db=WITHIN_DB)
    radius, plane = found.circles[0].radius_m, 2 * found.circles[0].plane_radius_m
    overlap = overlap_of([(one.x_m, one.y_m) for one in heard.ceiling_speakers], 2 * radius, tape)
    facts = [
        (
            _("Coverage circle at ear height"),
            length(2 * radius, tape),
            _("2 (height − ear) tan(%(angle)s / 2), its angle at %(band)s; wider at lower notes, narrower at higher")
            % {"angle": degrees(heard.speaker_type.coverage_deg), "band": _band(heard)},
        ),
        (_("Circle that is 6 dB down at ear height"), length(plane, tape), _("the edge is further away: corrected")),
        (_("In a circle"), f"{found.covered:.0%}", _("of the room at ear height")),
        (_("Evenness, direct sound"), decibels(found.evenness_db), _("loudest to quietest place, off axis counted")),
        (_("Within 3 dB of the mean"), f"{found.within:.0%}", _("of the room at ear height")),
    ]
    figures = {
        "circle_m": 2 * radius, "plane_circle_m": plane, "in_circles": found.covered,
        "evenness_db": found.evenness_db, "within_3_db": found.within, "mean_db": None, "maximum_db": None,
    }  # fmt: skip
    told = list(_of_the_level(heard, found, facts, figures)) if sensitivity is not None else []
    return BackgroundPage(
        lacking, _circles(heard, found), _map(heard, found, sensitivity is not None), overlap, tuple(facts),
        _line(heard), tuple(told), _lede(found),
        _loud(found.mean_db) if sensitivity is not None and watts else "", figures,
    )  # fmt: skip


def _lede(found):
    said = _("%(covered)s of the room is in a circle; direct sound differs by %(by)s across it.")
    return said % {"covered": f"{found.covered:.0%}", "by": decibels(found.evenness_db, 0)}


def _band(heard):
    """2 kHz: without what it is used for."""
    return str(heard.kept.setup.get_band_hz_display()).split(":")[0]


def _loud(mean_db):
    said = _(
        "Driven so, they give a mean of %s at the ears. Sound that loud harms hearing: NIOSH recommends no more than"
        " 85 dB(A) over eight hours at work (from memory). Turn down before anyone stands below."
    )
    return said % decibels(mean_db, 0) if mean_db >= LOUD_DB else ""


def _of_the_level(heard, found, facts, figures):
    """Adds the levels to facts and figures; gives what is to be said of them."""
    watts, setup = heard.watts_each(), heard.kept.setup
    drop, sensitivity = heard.size.high_m - heard.ear_m, heard.sensitivity_db()
    driven = _("at %(w)s W each") % {"w": f"{watts:g}"} if watts else _("at 1 W each")
    measured = MeasuredIn(heard.speaker_type.measured_in)
    facts.append((_("Sensitivity, at 1 W and 1 m"), decibels(sensitivity), SENSED[measured]))
    facts.append((_("Mean level at ear height"), decibels(found.mean_db, 0), driven))
    figures["mean_db"] = found.mean_db
    if not watts:
        yield "warn", _("Neither a tap nor the power on its sheet is known: levels are told at 1 W.")
        return
    below = levels.level_db(sensitivity, watts, drop)
    facts.append((_("Straight below one, that one alone"), decibels(below, 0), driven))
    figures["maximum_db"] = below
    if setup.target_db is None:
        yield "warn", _("No level is asked for at the ears: headroom isn't told. Enter it with the seats.")
        return
    target = float(setup.target_db)
    spare = found.quietest_db - target - PEAKS_DB
    facts.append((
        _("Headroom at the quietest place"),
        decibels(spare, 0),
        _("over %(target)s dB and %(peaks)s dB of peaks; common practice, no source")
        % {"target": f"{target:g}", "peaks": f"{PEAKS_DB:g}"},
    ))  # fmt: skip
    figures["headroom_db"] = spare
    if spare < 0:
        needed = watts * 10 ** (-spare / 10)
        yield "bad", _("Not loud enough at the quietest place by %(by)s: it takes %(w)s W each, or more speakers.") % {
            "by": decibels(-spare, 0),
            "w": f"{needed:.0f}",
        }


def _circles(heard, found):
    tape = heard.tape
    heads = (_("Speaker"), _("from the left wall"), _("from the door wall"), _("circle"))
    rows = tuple(
        (one.id, length(one.x_m, tape), length(one.y_m, tape), length(2 * circle.radius_m, tape))
        for one, circle in zip(heard.ceiling_speakers, found.circles, strict=True)
    )
    title = _("Coverage at ear height in %s") % heard.room.name
    said = _("%(n)s circles at %(ear)s above the floor; %(share)s of the room is in one.") % {
        "n": len(found.circles),
        "ear": length(heard.ear_m, tape),
        "share": f"{found.covered:.0%}",
    }
    circles = [(one.x, one.y, one.radius_m) for one in found.circles]
    return coverage_picture(
        _speakers_only(heard), circles, Table(title, heads, rows), key="coverage", title=title, words_for=said
    )


def _speakers_only(heard):
    room = heard.room_at()
    ids = {one.id for one in heard.ceiling_speakers}
    return replace(room, marks=tuple(replace(mark, plays="") for mark in room.marks if mark.id in ids), screen=None)


def _map(heard, found, absolute):
    """absolute: real levels; otherwise dB below the loudest place."""
    tape = heard.tape
    shown = found.level if absolute else found.level - found.loudest_db
    fine = LevelGrid(found.xs, found.ys, shown)
    columns = _some(len(found.xs), NUMBERS[0])
    rows = _some(len(found.ys), NUMBERS[1])
    coarse = LevelGrid([found.xs[i] for i in columns], [found.ys[j] for j in rows], shown[np.ix_(rows, columns)])
    title = _("Level at ear height in %s, dB") % heard.room.name
    said = _(
        "Direct sound of all speakers, %(what)s, at %(band)s. Each tone is 1 dB: the darker, the quieter;"
        " the darkest is 6 dB and more below the loudest. From %(low)s to %(high)s."
    ) % {
        "band": _band(heard),
        "what": _("as driven") if absolute else _("against the loudest place"),
        "low": decibels(float(np.nanmin(shown)), 0),
        "high": decibels(float(np.nanmax(shown)), 0),
    }  # fmt: skip
    heads = (_("from the door wall"), *(_("%s from left") % length(x, tape) for x in coarse.xs_m))
    table = tuple(
        (length(y, tape), *("—" if np.isnan(level) else f"{level:.1f}" for level in row))
        for y, row in zip(coarse.ys_m, coarse.level_db, strict=True)
    )
    return level_picture(
        _speakers_only(heard), fine, coarse, Table(title, heads, table), key="level", title=title, words_for=said
    )


def _some(count, most):
    """At most so many of count places, evenly, each in the middle of its share."""
    take = min(count, most)
    return [int((n + 0.5) * count / take) for n in range(take)]
