"""What the page of a room's light shows: figures against what is wanted, patterns, pictures. No query here."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from layout.drawing.picture import Picture
from layout.engine.light import patterns
from layout.engine.light.losses import Losses
from layout.engine.light.measures import Measures, measure
from layout.engine.light.targets import Line, Target, against
from layout.engine.light.values import LUX_IN_A_FOOTCANDLE, Dims, On
from layout.light import words
from layout.light.forms import LOSS_WORDS
from layout.light.kept import face_lux
from layout.light.lumens import beside, dim_of
from layout.light.models import LOSSES, LightSetup, LightUnit
from layout.light.pictures import elevations, from_the_door, plan_map
from layout.light.pictures.values import Told
from layout.light.queries import RoomLight
from layout.light.scene import factor_of

TASK_MM = 80  # a task's map is drawn so high at most

@dataclass(frozen=True, slots=True)
class Row:
    """One figure: its name, footcandles and lux or one number, and what there is to say of it."""

    name: str
    fc: str = ""
    lux: str = ""
    number: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Asked:
    """What was wanted beside what is computed. word: met or short, never a verdict on a rule."""

    name: str
    wanted: str
    found: str
    word: str
    met: bool


@dataclass(frozen=True, slots=True)
class WallRow:
    name: str
    average: str
    bands: tuple[str, ...]  # low to high


@dataclass(frozen=True, slots=True)
class LightPage:
    told: Told
    measures: Measures
    rows: tuple[Row, ...]
    asked: tuple[Asked, ...]
    target: Target | None
    walls: tuple[WallRow, ...]
    band_heads: tuple[str, ...]
    power: tuple[Row, ...]
    patterns: tuple[str, ...]
    lumen: str
    losses: tuple[tuple[str, str, str], ...]  # name, share, left after it
    factor: str
    balance: str
    sources: tuple[str, ...]
    notes: tuple[str, ...]
    zones: tuple[tuple[str, int], ...]  # letter, percent shown
    pictures: tuple[Picture, ...] = field(default=(), repr=False)


def light_page(light: RoomLight, dims: Dims | None, row=None, *, drawn: bool = True) -> LightPage:
    """light: with something solved. dims: levels to show it at; None: as they are set. row: the shop's target row."""
    made, solved, setup = light.made, light.solved, light.setup
    told = Told(light.room.job.tape)
    found = measure(solved, dims)
    target = target_of(setup, row)
    lumen = beside(solved, dims)
    return LightPage(
        told=told,
        measures=found,
        rows=tuple(_rows(light, found, dims, told)),
        asked=tuple(_asked(line, told) for line in against(found, target)) if target else (),
        target=target,
        walls=tuple(
            WallRow(one.name, told.both(one.average_lx), tuple(told.level(band.average_lx) for band in one.bands))
            for one in found.wall_bands
        ),
        band_heads=_heads(found),
        power=tuple(_power(found, made)),
        patterns=tuple(words.pattern_words(one, told) for one in patterns.told(solved, dims)),
        lumen=words.lumen_words(lumen, found.plane_avg_lx, told) if lumen else "",
        losses=tuple(_losses(setup)),
        factor=f"{factor_of(setup):.3f}",
        balance=_balance(solved),
        sources=tuple(_sources(made)),
        notes=tuple(_notes(made)),
        zones=tuple(_zones(made, dims)),
        pictures=tuple(pictures_of(solved, dims, told)) if drawn else (),
    )


def _level(name: str, lux: float, note: str = "") -> Row:
    return Row(name, fc=f"{lux / LUX_IN_A_FOOTCANDLE:.1f}", lux=f"{lux:.0f}", note=note)


def _ratio(name: str, value: float | None, note: str = "") -> Row:
    return Row(name, number=_("dark") if value is None else f"{value:.2f}", note=note)


def _rows(light: RoomLight, found: Measures, dims, told: Told) -> Iterator[Row]:
    height = told.length(light.made.scene.plane_m)
    yield _level(_("Work plane, average"), found.plane_avg_lx, _("%s above the floor") % height)
    yield _level(_("least on it"), found.plane_min_lx)
    yield _level(_("most on it"), found.plane_max_lx)
    yield _ratio(_("Least over average"), found.min_over_avg)
    yield _ratio(_("Most over least"), found.max_over_min)
    yield _level(_("Walls, average"), found.walls_avg_lx)
    yield _ratio(_("Walls over plane"), found.wall_over_plane)
    strip = found.worst_strip
    if strip is not None:
        where = _("%(wall)s, %(from)s to %(to)s from its left as you face it, %(low)s to %(high)s up") % {
            "wall": strip.wall, "from": told.length(strip.from_m), "to": told.length(strip.to_m),
            "low": told.length(strip.low_m), "high": told.length(strip.high_m),
        }  # fmt: skip
        yield _level(_("Darkest strip of wall"), strip.lx, where)
    yield _level(_("Floor, average"), found.floor_avg_lx)
    yield _level(_("Ceiling, average"), found.ceiling_avg_lx)
    for task in found.tasks:
        yield _level(_("%s, average") % task.name, task.average_lx, _("least %s") % told.level(task.least_lx))
    for face in light.made.faces:
        note = _("cylindrical: the mean all round") if face.facing_deg is None else _("vertical, as the face looks")
        yield _level(face.name, face_lux(light.solved, face, dims), note)


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
        lux = float(setup.target) * (LUX_IN_A_FOOTCANDLE if setup.target_unit == LightUnit.FOOTCANDLES else 1)
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


def _asked(line: Line, told: Told) -> Asked:
    level = line.unit == "lx"
    said = told.both if level else (lambda value: f"{value:.2f}")
    off = abs(line.off)
    if line.met:
        word = _("met")
    elif line.at_least:
        word = _("short by %s") % (told.level(off) if level else f"{off:.2f}")
    else:
        word = _("over by %s") % (told.level(off) if level else f"{off:.2f}")
    return Asked(str(words.ASKED[line.asked]), said(line.wanted), said(line.found), word, line.met)


def _heads(found: Measures) -> tuple[str, ...]:
    """Bands of a wall, low to high; a sloped ceiling's walls have heights of their own."""
    most = max((len(one.bands) for one in found.wall_bands), default=0)
    names = (_("lowest"), _("lower"), _("upper"), _("highest"))
    return names if most == len(names) else tuple(str(n + 1) for n in range(most))


def _losses(setup: LightSetup) -> Iterator[tuple[str, str, str]]:
    chain = Losses(*(float(getattr(setup, name)) for name in LOSSES)).chain
    for name, link in zip(LOSSES, chain, strict=True):
        yield str(LOSS_WORDS[name][0]), f"{link.share:.3f}", f"{link.left:.3f}"
    if setup.as_read is not None:
        yield str(_("As read by this shop")), f"{setup.as_read:.3f}", f"{chain[-1].left * float(setup.as_read):.3f}"


def _balance(solved) -> str:
    kept = solved.balance
    return _(
        "Of %(emitted)s lm given off, %(received)s arrive at the room's surfaces (%(share)s %%); of what arrives, all "
        "but %(residual)s of it is taken up again. %(patches)s patches."
    ) % {
        "emitted": f"{kept.emitted:,.0f}", "received": f"{kept.received:,.0f}",
        "share": f"{100 * kept.received / kept.emitted:.1f}" if kept.emitted else "—",
        "residual": f"{abs(kept.residual):.0e}", "patches": kept.patches,
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


def pictures_of(solved, dims, told: Told) -> Iterator[Picture]:
    """The walls in the same bands, so that a tone means one level on each; the plane parts into its own."""
    yield plan_map(solved, dims, told=told)
    for number, grid in enumerate((grid for grid in solved.grids if grid.on is On.TASK), start=1):
        yield plan_map(solved, dims, told=told, on=grid.name, key=f"light-task-{number}", height_mm=TASK_MM)
    yield from elevations(solved, dims, told=told)
    yield from_the_door(solved, dims, told=told)
