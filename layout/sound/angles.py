"""The page of angles: each speaker as each seat hears it, the move that would mend it, delays and trims.

Puts the gathered room and the engine's answers together for a template. Never raises for what a room lacks.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from django.utils.translation import gettext as _

from layout.drawing.picture import Picture, Table
from layout.engine.marks import Kind
from layout.engine.sound import listening
from layout.engine.sound.systems import LAYOUTS
from layout.engine.sound.values import SoundError
from layout.sound import missing
from layout.sound.models import Use
from layout.sound.moves import fits_of, in_steps
from layout.sound.pictures.angles import Wedge, angles_picture
from layout.sound.pictures.values import length
from layout.sound.places import gone
from layout.sound.words import decibels, degrees, move_in_words, off, refusal, span


@dataclass(frozen=True, slots=True)
class Told:
    """One speaker. tone: good, warn or bad; words: what it is and the move that mends it."""

    mark: str
    channel: str
    label: str
    tone: str
    words: str
    move: str = ""


@dataclass(frozen=True, slots=True)
class AnglesPage:
    missing: tuple[missing.Missing, ...] = ()
    notes: tuple[str, ...] = ()
    picture: Picture | None = None
    told: tuple[Told, ...] = ()
    seats: tuple[Table, ...] = ()
    alignment: Table | None = None
    suggested: tuple[tuple[str, str], ...] = ()  # channel, mark: where nobody said
    figures: dict = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Listening:
    """What the engine is asked with. seats: the main one first."""

    system: listening.System
    seats: tuple[listening.Seat, ...]
    speakers: tuple[listening.Placed, ...]
    screen: tuple[float, float]
    leeway_deg: float
    outline: tuple[tuple[float, float], ...]

    def verdicts(self, heard):
        """As the engine judges, with moves in steps a tape is read in."""
        judged = listening.judge(
            self.seats, self.speakers, self.screen, self.system, leeway_deg=self.leeway_deg, outline=self.outline
        )
        return tuple(self._in_steps(one, at, heard) for one, at in zip(judged, self.speakers, strict=True))

    def _in_steps(self, one, at, heard):
        return replace(
            one,
            move=self._stepped(one.move, one, at, heard, self.seats),
            main_move=self._stepped(one.main_move, one, at, heard, self.seats[:1]),
        )

    def _stepped(self, move, one, at, heard, seats):
        if move is None or move == (0.0, 0.0):
            return move
        fits = fits_of(self, at, one.channel, height=one.reachable, seats=seats)
        start = (at.x, at.y)
        to = in_steps(start, (at.x + move[0], at.y + move[1]), heard, fits)
        return to[0] - start[0], to[1] - start[1]


def listening_of(heard) -> tuple[Listening | None, tuple[missing.Missing, ...], tuple[str, ...]]:
    """What is known, what is missing for it, and what is to be said all the same."""
    if heard.layout is None:
        return None, (missing.layout(heard),), ()
    lacking = []
    if not heard.speakers:
        lacking.append(missing.speakers(heard))
    if heard.size.high_m is None:
        lacking.append(missing.height(heard))
    if not heard.ears:
        lacking.append(missing.seats(heard))
    system = LAYOUTS.get(heard.kept.setup.system)
    if system is None:
        lacking.append(missing.system(heard))
    if lacking:
        return None, tuple(lacking), tuple(gone(heard.layout, heard.kept.roles))
    notes = [*heard.of_roles, *gone(heard.layout, heard.kept.roles)]
    known, others = [], []
    for one in heard.speakers:
        if one.channel:
            (known if system.channel(one.channel) else others).append(one)
    for one in others:
        notes.append(_("%(mark)s plays %(channel)s, which %(system)s hasn't. Give it another channel.") % {
            "mark": one.id, "channel": one.channel, "system": system.name,
        })  # fmt: skip
    twice = [name for name in {one.channel for one in known} if sum(one.channel == name for one in known) > 1]
    notes += [_("More than one speaker plays %s: each is judged by itself.") % name for name in sorted(twice)]
    silent = [one.name for one in system.channels if one.name not in {each.channel for each in known}]
    if silent and known:
        said = _("No speaker on this ceiling plays %s: what stands at ear height is placed elsewhere.")
        notes.append(said % ", ".join(silent))
    main = sorted(heard.ears, key=lambda ear: not ear.main)
    seats = tuple(listening.Seat(_("seat %s") % ear.name, ear.x_m, ear.y_m, ear.z_m) for ear in main)
    high = heard.size.high_m
    speakers = tuple(listening.Placed(one.id, one.channel, one.x_m, one.y_m, high) for one in known)
    front, said = _front(heard)
    found = Listening(
        system, seats, speakers, front, float(heard.kept.setup.leeway_deg), heard.size.walls.corners
    )
    return found, () if known else (missing.roles(heard),), (*notes, *said)


def _front(heard):
    """Where listeners look: the screen's middle, else the middle of the far wall."""
    center = heard.screen_center()
    if center is not None:
        return center, ()
    return (heard.size.wide_m / 2, heard.size.deep_m), (
        _("No screen is entered: listeners are taken to face the middle of the far wall."),
    )


def angles_page(heard) -> AnglesPage:
    found, lacking, notes = listening_of(heard)
    if found is None:
        return AnglesPage(tuple(_for_its_use(heard, lacking)), notes)
    try:
        if not found.speakers:
            return AnglesPage(lacking, notes, suggested=_suggested(heard, found))
        return _page(heard, found, notes)
    except SoundError as refused:
        return AnglesPage((missing.Missing(_("The angles can't be told."), refusal(refused, heard.tape)),), notes)


def _for_its_use(heard, lacking):
    """A room for background music has no angles to hold: coverage is what counts there."""
    setup = heard.kept.setup
    return (missing.no_angles(heard),) if setup.use == Use.BACKGROUND and not setup.system else lacking


def _suggested(heard, found):
    places = [(one.id, (one.x_m, one.y_m, heard.size.high_m)) for one in heard.speakers if one.kind is Kind.SPEAKER]
    return tuple(listening.suggest(found.seats[0], places, found.screen, found.system).items())


def _page(heard, found, notes):
    verdicts = found.verdicts(heard)
    tape = heard.tape
    told = tuple(_told(one, tape, found) for one in verdicts)
    if any(not one.reachable for one in verdicts):
        notes = (*notes, _(
            "A speaker in the ceiling can't come down to ear height: for a channel that belongs there only the angle"
            " around the seat can be met. Its height above the ears is told, and stays."
        ))  # fmt: skip
    return AnglesPage(
        (), tuple(notes), _picture(heard, found, verdicts), told,
        tuple(_seat_table(seat, n, verdicts) for n, seat in enumerate(found.seats)),
        _alignment(heard, found), figures=_figures(found, verdicts),
    )  # fmt: skip


def _told(verdict, tape, found):
    seats = len(found.seats)
    main, channel = verdict.angles[0], verdict.channel
    said = _("heard at %(az)s, belongs at %(range)s; %(el)s up, belongs at %(elrange)s.") % {
        "az": degrees(main.azimuth_deg), "range": span(channel.az_range),
        "el": degrees(main.elevation_deg), "elrange": span(channel.el_range),
    }  # fmt: skip
    az_fits, fits = main.off_azimuth_deg == 0, main.inside
    tone = "good" if fits else "warn" if az_fits else "bad"
    head = _("In range") if fits else _("Around the seat in range, not in height")
    if not az_fits:
        past = _("%(off)s past the range and its %(leeway)s of leeway, around the seat")
        head = past % {"off": off(abs(main.off_azimuth_deg)).capitalize(), "leeway": degrees(found.leeway_deg)}
    elsewhere = sum(not each.inside for each in verdict.angles)
    if seats > 1 and elsewhere and fits:
        said += " " + _("Off at %(n)s of %(all)s seats.") % {"n": elsewhere, "all": seats}
    move = _move(verdict, az_fits and (fits or not verdict.reachable), tape)
    return Told(verdict.id, channel.name, channel.label, tone, f"{head}: {said}", move)


def _move(verdict, nothing, tape):
    if nothing:
        return ""
    if verdict.main_move is None:
        return _("No place on this ceiling brings it into range.")
    words = move_in_words(verdict.id, verdict.main_move, tape)
    if verdict.move is None:
        return _("%s For every seat at once there is no such place.") % words
    if max(abs(a - b) for a, b in zip(verdict.move, verdict.main_move, strict=True)) > 0.01:
        return _("For the main seat: %(main)s For every seat: %(every)s") % {
            "main": words, "every": move_in_words(verdict.id, verdict.move, tape),
        }  # fmt: skip
    return words


def _picture(heard, found, verdicts):
    seat = found.seats[0]
    facing = listening.facing_deg(seat, found.screen)
    places = {one.id: (one.x, one.y) for one in found.speakers}
    wedges = [
        Wedge(
            one.channel.name,
            facing + one.channel.az_range[0] - found.leeway_deg,
            facing + one.channel.az_range[1] + found.leeway_deg,
            places[one.id],
            one.angles[0].off_azimuth_deg == 0,
            _to(places[one.id], one.main_move) if one.angles[0].off_azimuth_deg else None,
        )
        for one in verdicts
    ]
    title = _("Speakers as %s hears them") % seat.name
    inside = sum(wedge.inside for wedge in wedges)
    words = _(
        "%(inside)s of %(all)s speakers are in their wedge, %(leeway)s of leeway counted in. A toned wedge holds its"
        " speaker; a dashed one doesn't, and the arrow is the move."
    ) % {"inside": inside, "all": len(wedges), "leeway": degrees(found.leeway_deg)}
    return angles_picture(
        heard.room_at(), (seat.x, seat.y), wedges, _seat_table(seat, 0, verdicts),
        key="angles", title=title, words_for=words, screen_name=_("screen"),
    )  # fmt: skip


def _to(place, move):
    return None if move is None else (place[0] + move[0], place[1] + move[1])


def _seat_table(seat, number, verdicts):
    heads = (
        _("Speaker"), _("plays"), _("around"), _("range"), _("up"), _("range up"), _("past leeway around"),
        _("past leeway up"),
    )  # fmt: skip
    rows = tuple(
        (
            one.id, one.channel.name, degrees(heard.azimuth_deg), span(one.channel.az_range),
            degrees(heard.elevation_deg), span(one.channel.el_range), off(heard.off_azimuth_deg),
            off(heard.off_elevation_deg),
        )
        for one in verdicts
        for heard in (one.angles[number],)
    )  # fmt: skip
    return Table(_("From %s; left is positive") % seat.name, heads, rows)


def _alignment(heard, found):
    places = [(one.id, (one.x, one.y, one.z)) for one in found.speakers]
    rows = tuple(
        (one.id, length(one.distance_m, heard.tape), f"{one.delay_ms:.1f} ms", decibels(one.trim_db))
        for one in listening.alignments(found.seats[0], places, heard.c)
    )
    heads = (_("Speaker"), _("distance"), _("delay"), _("trim"))
    return Table(_("Delay and trim so that all arrive together at %s") % found.seats[0].name, heads, rows)


def _figures(found, verdicts):
    return {
        "system": found.system.name,
        "leeway_deg": found.leeway_deg,
        "speakers": [
            {
                "id": one.id,
                "channel": one.channel.name,
                "move_m": list(one.main_move) if one.main_move else None,
                "move_for_every_seat_m": list(one.move) if one.move else None,
                "reachable": one.reachable,
                "seats": [
                    {
                        "seat": each.seat, "azimuth_deg": each.azimuth_deg, "elevation_deg": each.elevation_deg,
                        "distance_m": each.distance_m, "off_azimuth_deg": each.off_azimuth_deg,
                        "off_elevation_deg": each.off_elevation_deg,
                    }
                    for each in one.angles
                ],
            }
            for one in verdicts
        ],
    }  # fmt: skip
