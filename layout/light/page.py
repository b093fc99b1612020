"""What the page of a room's light shows: figures against what is wanted, patterns, pictures. No query here."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from layout.drawing.picture import Picture
from layout.engine.light import patterns
from layout.engine.light.losses import Losses
from layout.engine.light.measures import Measures, measure
from layout.engine.light.targets import Target, against
from layout.engine.light.values import Dims
from layout.light import words
from layout.light.drawn import pictures_of
from layout.light.forms import LOSS_WORDS
from layout.light.kept import face_lux
from layout.light.lumens import beside, dim_of
from layout.light.models import LOSSES, LightSetup, LightUnit
from layout.light.pictures.values import Told, written
from layout.light.queries import RoomLight
from layout.light.scene import factor_of

NO_LOSS = 1e-6  # of what arrives: nothing that a page needs to speak of


@dataclass(frozen=True, slots=True)
class Row:
    """One figure: its name, footcandles (an inch shop's) and lux or one number, and what there is to say of it."""

    name: str
    fc: str = ""
    lux: str = ""
    number: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class WallRow:
    name: str
    average: str
    bands: tuple[str, ...]  # low to high


@dataclass(frozen=True, slots=True)
class LightPage:
    told: Told
    measures: Measures
    answer: str  # what is asked first: will the walls go dark?
    rows: tuple[Row, ...]
    asked: tuple[words.AskedWords, ...]
    target: Target | None
    walls: tuple[WallRow, ...]
    band_heads: tuple[str, ...]
    power: tuple[Row, ...]
    patterns: tuple[str, ...]  # what else is seen; the walls as a whole are in the answer
    lumen: str
    losses: tuple[tuple[str, str, str], ...]  # name, share, left after it
    factor: str
    balance: str
    sources: tuple[str, ...]
    notes: tuple[str, ...]
    zones: tuple[tuple[str, int], ...]  # letter, percent shown
    pictures: tuple[Picture, ...] = field(default=(), repr=False)

    @property
    def levels(self) -> str:
        return ", ".join(f"{letter} {percent} %" for letter, percent in self.zones)


def light_page(light: RoomLight, dims: Dims | None, row=None, *, drawn: bool = True) -> LightPage:
    """light: with something solved. dims: levels to show it at; None: as they are set. row: the shop's target row."""
    made, solved, setup = light.made, light.solved, light.setup
    told = Told(light.room.job.tape)
    found = measure(solved, dims)
    target = target_of(setup, row)
    lumen = beside(solved, dims)
    seen = patterns.told(solved, dims)
    return LightPage(
        told=told,
        measures=found,
        answer=words.answer(found, seen, told),
        rows=tuple(_rows(light, found, dims, told)),
        asked=tuple(words.asked_words(line, told) for line in against(found, target)) if target else (),
        target=target,
        walls=tuple(
            WallRow(one.name, told.both(one.average_lx), tuple(told.level(band.average_lx) for band in one.bands))
            for one in found.wall_bands
        ),
        band_heads=_heads(found),
        power=tuple(_power(found, made)),
        patterns=tuple(words.pattern_words(one, told) for one in seen if one.kind not in words.OF_ALL_WALLS),
        lumen=words.lumen_words(lumen, found.plane_avg_lx, told) if lumen else "",
        losses=tuple(_losses(setup)),
        factor=_share(factor_of(setup)),
        balance=_balance(solved),
        sources=tuple(_sources(made)),
        notes=tuple(_notes(made)),
        zones=tuple(_zones(made, dims)),
        pictures=pictures_of(made, solved, dims, told) if drawn else (),
    )


def _level(told: Told, name: str, lux: float, note: str = "") -> Row:
    """Rounded as pictures and sentences round it: one number is written one way."""
    return Row(name, fc=told.number(lux) if told.feet else "", lux=written(lux), note=note)


def _ratio(name: str, value: float | None, note: str = "") -> Row:
    return Row(name, number=_("dark") if value is None else f"{value:.2f}", note=note)


def _rows(light: RoomLight, found: Measures, dims, told: Told) -> Iterator[Row]:
    height = told.length(light.made.scene.plane_m)
    yield _level(told, _("Work plane, average"), found.plane_avg_lx, _("%s above the floor") % height)
    yield _level(told, _("least on it"), found.plane_min_lx)
    yield _level(told, _("most on it"), found.plane_max_lx)
    yield _ratio(_("Least over average"), found.min_over_avg)
    yield _ratio(_("Most over least"), found.max_over_min)
    yield _level(told, _("Walls, average"), found.walls_avg_lx)
    yield _ratio(_("Walls over plane"), found.wall_over_plane)
    strip = found.worst_strip
    if strip is not None:
        where = _("%(wall)s, %(from)s to %(to)s from its left as you face it, %(low)s to %(high)s up") % {
            "wall": strip.wall, "from": told.length(strip.from_m), "to": told.length(strip.to_m),
            "low": told.length(strip.low_m), "high": told.length(strip.high_m),
        }  # fmt: skip
        yield _level(told, _("Darkest strip of wall"), strip.lx, where)
    yield _level(told, _("Floor, average"), found.floor_avg_lx)
    yield _level(told, _("Ceiling, average"), found.ceiling_avg_lx)
    for task in found.tasks:
        yield _level(told, _("%s, average") % task.name, task.average_lx, _("least %s") % told.level(task.least_lx))
    for face in light.made.faces:
        note = _("cylindrical: the mean all round") if face.facing_deg is None else _("vertical, as the face looks")
        yield _level(told, face.name, face_lux(light.solved, face, dims), note)


def _power(found: Measures, made) -> Iterator[Row]:
    if found.watts is None:
        yield Row(_("Power"), number=_("not known"), note=_("No light here has watts in the catalog."))
        return
    note = _("without %s: no watts in the catalog") % ", ".join(made.watts_unknown) if made.watts_unknown else ""
    yield Row(_("Power, undimmed"), number=_("%s W") % f"{found.watts:.0f}", note=note)
    yield Row(_("per square foot"), number=_("%s W/ft²") % f"{found.w_per_ft2:.2f}")
    yield Row(_("per square meter"), number=_("%s W/m²") % f"{found.w_per_m2:.2f}")


def target_of(setup: LightSetup, row) -> Target | None:
    """What the room's setup asks: typed numbers go before the table's row. None where nothing is asked."""
    lux = None
    if setup.target is not None:
        lux = float(setup.target) * LightUnit(setup.target_unit).in_lux
    elif row is not None:
        lux = row.lux
    uniformity = float(setup.uniformity) if setup.uniformity is not None else row and row.uniformity
    target = Target(
        lux=lux,
        uniformity=uniformity,
        wall_lux=row.wall_lux if row else None,
        ceiling_lux=row.ceiling_lux if row else None,
        wall_ratio=None if setup.wall_ratio is None else float(setup.wall_ratio),
        kind=row.kind if row else "",
        document=row.document if row else "",
        edition=row.edition if row else "",
        source=row.source if row else "",
    )
    return target if any((target.lux, target.uniformity, target.wall_lux, target.wall_ratio)) else None


def _heads(found: Measures) -> tuple[str, ...]:
    """Bands of a wall, low to high; a sloped ceiling's walls have heights of their own."""
    most = max((len(one.bands) for one in found.wall_bands), default=0)
    names = (_("lowest"), _("lower"), _("upper"), _("highest"))
    return names if most == len(names) else tuple(str(n + 1) for n in range(most))


def _losses(setup: LightSetup) -> Iterator[tuple[str, str, str]]:
    chain = Losses(*(float(getattr(setup, name)) for name in LOSSES)).chain
    for name, link in zip(LOSSES, chain, strict=True):
        yield str(LOSS_WORDS[name][0]), _share(link.share), _share(link.left)
    if setup.as_read is not None:
        own = float(setup.as_read)
        yield str(_("As read by this shop")), _share(own), _share(chain[-1].left * own)


def _share(value: float) -> str:
    """A share to three places, no empty ones: 0.85, 1."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def _balance(solved) -> str:
    """The sum's own check. Light that arrives is taken up in the end, or the sum is wrong."""
    kept = solved.balance
    lost = abs(kept.residual)
    taken = _("all of it taken up in the end") if lost < NO_LOSS else _("all but %s of it taken up") % f"{lost:.2%}"
    return _(
        "The sum's own check: of %(emitted)s lm given off, %(received)s arrive at the room's surfaces (%(share)s %%), "
        "%(taken)s. The surfaces were cut in %(patches)s patches."
    ) % {
        "emitted": f"{kept.emitted:,.0f}", "received": f"{kept.received:,.0f}",
        "share": f"{100 * kept.received / kept.emitted:.1f}" if kept.emitted else "—",
        "taken": taken, "patches": kept.patches,
    }  # fmt: skip


def _sources(made) -> Iterator[str]:
    for letter, one in made.types.items():
        if one.name in made.lobes:
            said = _(
                "Zone %(zone)s, %(type)s: no photometric file. A smooth lobe of %(lm)s lm and %(beam)s° stands for it."
            )
            yield said % {"zone": letter, "type": one.name, "lm": one.lumens, "beam": f"{one.beam_deg:g}"}
        else:
            said = _("Zone %(zone)s, %(type)s: from the file %(file)s (%(format)s).")
            yield said % {
                "zone": letter, "type": one.name, "file": one.photometric.name, "format": one.photometric.format,
            }  # fmt: skip


def _notes(made) -> Iterator[str]:
    yield from made.notes
    yield from words.aims_gone(made.gone)
    for name in made.unplaced:
        yield _("%s reaches out of the room or stands on no wall: it is left out. Change its place.") % name


def _zones(made, dims) -> Iterator[tuple[str, int]]:
    shown = {}
    for light in made.scene.lights:
        shown.setdefault(light.zone, round(100 * dim_of(light, dims)))
    yield from sorted(shown.items())
