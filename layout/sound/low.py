"""The page of bass and reverberation: modes, where subs give the smoothest bass, how long sound stays.

Puts the gathered room and the engine's answers together for a template. Never raises for what a room lacks.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from layout.drawing.picture import Picture, Table
from layout.engine.lengths import Unit, feet, meters
from layout.engine.marks import Kind
from layout.engine.sound import modes, reverberation, subs
from layout.engine.sound.values import SoundError
from layout.sound import materials, missing
from layout.sound.gather import sub_name
from layout.sound.pictures.chart import response_chart
from layout.sound.pictures.low import places_picture
from layout.sound.pictures.values import length
from layout.sound.words import decibels, refusal

LISTED_HZ = 120.0
MOST_LISTED = 40
USUAL_DECAY_S = 0.5  # of a furnished room below 200 Hz; common practice, no source
USUAL_SUB_M = 0.25
LOWEST_OCTAVE = 125
FOOT_M = meters(feet(1))
KINDS = {"axial": _lazy("two walls"), "tangential": _lazy("four walls"), "oblique": _lazy("all six surfaces")}


@dataclass(frozen=True, slots=True)
class Decay:
    """The time the bass is worked out with, and where it is from."""

    seconds: float
    said: str


@dataclass(frozen=True, slots=True)
class Best:
    """So many subs where they give the smoothest bass. why: in numbers."""

    count: int
    places: tuple[str, ...]
    why: str
    choice: subs.Choice
    picture: Picture


@dataclass(frozen=True, slots=True)
class LowPage:
    missing: tuple[missing.Missing, ...] = ()
    not_a_box: str = ""
    decay: Decay | None = None
    facts: tuple[tuple[str, str, str], ...] = ()
    modes: Table | None = None
    plan: Picture | None = None
    now: Picture | None = None  # the subs as they stand
    best: tuple[Best, ...] = ()
    times: Table | None = None
    figures: dict = field(default_factory=dict)

    @property
    def smoothest(self) -> Best | None:
        return _smoothest(self.best)


def _smoothest(best) -> Best | None:
    """Of one to four the least uneven; of equals, the fewest."""
    return min(best, key=lambda one: round(one.choice.score_db, 1), default=None)


def low_page(heard) -> LowPage:
    if heard.layout is None:
        return LowPage((missing.layout(heard),))
    if heard.size.high_m is None:
        return LowPage((missing.height(heard),))
    lacking, times, bands = [], None, ()
    if unsaid := materials.unsaid(heard):
        lacking.append(missing.materials(heard, unsaid))
    else:
        bands = reverberation.by_octave(
            materials.surfaces_of(heard), materials.volume_m3(heard.size),
            temp_c=float(heard.kept.setup.temperature_c), c=heard.c,
        )  # fmt: skip
        times = _times(bands)
    decay = _decay(heard, bands)
    volume = materials.volume_m3(heard.size)
    facts, figures = list(_facts(decay, volume, heard.tape)), {
        "t60_s": decay.seconds, "t60_from": decay.said, "schroeder_hz": modes.schroeder_hz(decay.seconds, volume),
        "times": [{"hz": one.hz, "sabine_s": one.sabine.t60_s, "eyring_s": one.eyring.t60_s} for one in bands],
        "modes": [], "best": [],
    }  # fmt: skip
    if not heard.size.rectangle:
        return LowPage(tuple(lacking), _not_a_box(), decay, tuple(facts), times=times, figures=figures)
    return _box(heard, lacking, decay, facts, times, figures)


def _box(heard, lacking, decay, facts, times, figures):
    size = heard.size
    room = (size.wide_m, size.deep_m, size.high_m)
    try:
        found = modes.modes_below(room, LISTED_HZ, heard.c)[:MOST_LISTED]
    except SoundError as refused:
        lacking.append(missing.Missing(_("The modes aren't listed."), refusal(refused, heard.tape)))
        found = ()
    figures["modes"] = [{"index": list(one.index), "hz": one.hz, "kind": one.kind.value} for one in found]
    table = _mode_table(found)
    if not heard.ears:
        lacking.append(missing.seats(heard))
        return LowPage(tuple(lacking), "", decay, tuple(facts), table, times=times, figures=figures)
    try:
        plan, now, best = _subs(heard, room, decay, figures)
    except SoundError as refused:
        lacking.append(missing.Missing(_("The bass at the seats can't be told."), refusal(refused, heard.tape)))
        plan, now, best = None, None, ()
    return LowPage(tuple(lacking), "", decay, tuple(facts), table, plan, now, best, times, figures)


def _not_a_box():
    return _(
        "This ceiling is no plain rectangle (an outline, a part at another height or a slope): room modes and the bass"
        " at the seats have a closed form only in a box, so they aren't told. What still holds: the reverberation times"
        " from the materials, and about where single modes stop mattering. Try subs on site, and listen from each seat."
    )


def _decay(heard, bands):
    if heard.kept.setup.low_decay_s is not None:
        return Decay(float(heard.kept.setup.low_decay_s), _("measured below 200 Hz, as entered"))
    low = next((one for one in bands if one.hz == LOWEST_OCTAVE), None)
    if low is not None:
        return Decay(low.eyring.t60_s, _("Eyring, from the materials at 125 Hz"))
    return Decay(USUAL_DECAY_S, _("a furnished room; common practice, no source"))


def _facts(decay, volume, tape):
    yield _("Reverberation time of the bass"), f"{decay.seconds:.2f} s", decay.said
    yield (
        _("Single modes stop mattering near"),
        f"{modes.schroeder_hz(decay.seconds, volume):.0f} Hz",
        _("2000 √(T / V), after Schroeder: a region, not a line"),
    )
    yield _("Width of one mode"), f"{modes.width_hz(decay.seconds):.1f} Hz", _("2.2 / T")
    said = f"{volume / FOOT_M**3:,.0f} ft³" if tape.unit is Unit.INCH else f"{volume:.1f} m³"
    yield _("Volume"), said, _("finished room")


def _mode_table(found):
    heads = (_("Left-right, door-far, up"), _("Hz"), _("between"), _("to the next, Hz"))
    gaps = [*(f"{after.hz - one.hz:.1f}" for one, after in pairwise(found)), ""][: len(found)]
    rows = tuple(
        (" ".join(map(str, one.index)), f"{one.hz:.1f}", str(KINDS[one.kind.value]), gap)
        for one, gap in zip(found, gaps, strict=True)
    )
    return Table(_("Room modes up to %(hz)g Hz, the lowest %(n)s") % {"hz": LISTED_HZ, "n": len(rows)}, heads, rows)


# Subs


def _candidates(heard, room):
    """Places that were entered; else corners, wall middles and quarter points."""
    if heard.subs:
        return tuple(
            subs.Place(sub_name(one), "entered", (meters(one.x), meters(one.y), min(meters(one.height), room[2])))
            for one in heard.subs
        )
    return subs.places(room, min(USUAL_SUB_M, room[2]), min(USUAL_SUB_M, room[0] / 4, room[1] / 4))


def _standing(heard, room):
    """Where subs stand now: marked so on the floor, and on the ceiling."""
    floor = tuple(
        subs.Place(sub_name(one), "entered", (meters(one.x), meters(one.y), min(meters(one.height), room[2])))
        for one in heard.subs
        if one.placed
    )
    ceiling = tuple(
        subs.Place(one.id, "ceiling", (one.x_m, one.y_m, room[2]))
        for one in heard.speakers
        if one.kind is Kind.SUBWOOFER
    )
    return floor + ceiling


def _subs(heard, room, decay, figures):
    ears = heard.ears
    seats = [(ear.x_m, ear.y_m, min(ear.z_m, room[2])) for ear in ears]
    names = [_("seat %s") % ear.name for ear in ears]
    candidates = _candidates(heard, room)
    best = tuple(
        _best(one, names) for one in subs.by_count(room, candidates, seats, decay.seconds, heard.c)
    )
    figures["best"] = [
        {
            "count": one.count, "places": list(one.places), "score_db": one.choice.score_db,
            "roughness_db": one.choice.roughness_db, "spread_db": one.choice.spread_db,
        }
        for one in best
    ]  # fmt: skip
    now = None
    if standing := _standing(heard, room):
        judged = subs.judged(room, standing, seats, decay.seconds, heard.c)
        title = _("Bass at the seats, subs as they stand")
        words = _why(judged)
        now = _chart("bass-now", title, words, judged, names)
    return _plan(heard, candidates, best), now, best


def _best(choice, names):
    count = len(choice.places)
    places = tuple(_place_words(one) for one in choice.places)
    title = _("Bass at the seats, best of %s") % count
    why = _why(choice)
    return Best(count, places, why, choice, _chart(f"bass-{count}", title, why, choice, names))


def _place_words(place):
    kinds = {"corner": _("corner"), "wall midpoint": _("middle of a wall"), "quarter point": _("quarter point")}
    if place.kind not in kinds:
        return place.name
    return f"{kinds[place.kind]} {place.name.rsplit(' ', 1)[-1]}"


def _why(choice):
    said = _(
        "Notes from 20 to 120 Hz stand %(score)s off their mean at the seats together; at one seat %(rough)s; from the"
        " loudest seat to the quietest it is %(spread)s."
    )
    return said % {
        "score": decibels(choice.score_db),
        "rough": decibels(choice.roughness_db),
        "spread": decibels(choice.spread_db),
    }


def _chart(key, title, words, choice, names):
    scale = _("0 dB is what one sub gives 1 m away in the open.")
    return response_chart(
        key, title, f"{words} {scale}", subs.notes().tolist(), choice.levels.tolist(), names, heads=(_("Hz"), "%s")
    )


def _plan(heard, candidates, best):
    tape = heard.tape
    title = _("Where subs were tried in %s") % heard.room.name
    heads = (_("Place"), _("from the left wall"), _("from the door wall"), _("among the best of"))
    rows = tuple(
        (
            _place_words(one), length(one.at[0], tape), length(one.at[1], tape),
            ", ".join(str(each.count) for each in best if one in each.choice.places) or "—",
        )
        for one in candidates
    )  # fmt: skip
    smoothest = _smoothest(best)
    spots = [
        (one.at[0], one.at[1], _place_words(one), one in smoothest.choice.places) for one in candidates
    ]
    words = _("Each square is a place that was tried; the double ones are the smoothest choice.")
    room = heard.room_at(subs=True)
    return places_picture(room, spots, Table(title, heads, rows), key="subs", title=title, words_for=words)


def _times(bands):
    heads = (_("Octave, Hz"), _("Sabine, s"), _("Eyring, s"), _("mean absorption"), _("takes most"))
    rows = tuple(
        (str(one.hz), f"{one.sabine.t60_s:.2f}", f"{one.eyring.t60_s:.2f}", f"{one.eyring.mean_alpha:.2f}", one.most)
        for one in bands
    )
    return Table(_("Reverberation by octave, from the materials and air at 50 % humidity"), heads, rows)
