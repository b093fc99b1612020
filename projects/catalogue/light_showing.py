"""What a page shows of a photometric file or of a type's light: values and one drawing, read or computed anew."""

from dataclasses import dataclass

from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _

from layout.engine.light import photometry
from layout.engine.light.lumen_method import Table, table_of
from layout.engine.light.values import Emitter, Known, LightError
from projects.catalogue import photometric
from projects.catalogue.polar import PolarTable, polar_svg, polar_table

AROUND = 2  # lines shown before and after the one at fault
WIDEST = 200  # characters shown of a line


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a file isn't read: where, what stands there, what was expected, and the lines around it."""

    line: int | None
    token: str
    expected: str
    lines: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class Zone:
    low_deg: int
    high_deg: int
    lumens: float
    percent: float


@dataclass(frozen=True, slots=True)
class LightShown:
    """A light's figures for a page. spacing: in a row and in a square; None: no light straight down."""

    known: Known
    svg: str
    table: PolarTable
    flux_lm: float
    brightest_cd: float
    beam_deg: float
    field_deg: float
    center_beam_deg: float | None  # of the center beam, where that differs
    spacing: tuple[float, float] | None
    zones: tuple[Zone, ...]
    down_percent: float
    axial: bool
    utilization: Table

    @property
    def smaller_spacing(self):
        return self.spacing and min(self.spacing)

    @property
    def utilization_rows(self):
        """(ratio, its values in the order of the heads) for each ratio."""
        table = self.utilization
        rows = zip(table.ratios, table.values, strict=True)
        return [(ratio, [value for ceiling in row for value in ceiling]) for ratio, row in rows]

    @property
    def utilization_heads(self):
        """(percent of ceiling, percents of wall under it) above the columns."""
        table = self.utilization
        walls = [100 * wall for wall in table.walls]
        return [(100 * ceiling, walls) for ceiling in table.ceilings]


@dataclass(frozen=True, slots=True)
class FileShown:
    """error: the file can't be read any more; nothing else is known then."""

    error: str = ""
    light: LightShown | None = None
    file: object = None
    lm_per_w: float | None = None
    rated_lm: float | None = None
    keywords: tuple[tuple[str, str], ...] = ()


def refusal(error, text):
    line = getattr(error, "line", None)
    lines = (text or "").splitlines() if line else []
    first = max(0, (line or 1) - 1 - AROUND)
    near = tuple(
        (number + 1, photometric.visible(lines[number])[:WIDEST])
        for number in range(first, min(len(lines), (line or 1) + AROUND))
    )
    token = photometric.visible(str(getattr(error, "token", "") or ""))[:WIDEST]
    return Refusal(line, token, str(getattr(error, "expected", "") or ""), near)


def file_shown(record):
    try:
        file = photometric.light_file(record.text)
        light = light_shown(file.photometry, record.name)
    except LightError as error:
        return FileShown(error=str(error))
    rated = None if file.absolute or not file.lumens_per_lamp else file.lamps * file.lumens_per_lamp
    keywords = tuple((photometric.visible(key), photometric.visible(said)) for key, said in file.keywords.items())
    per_watt = light.flux_lm / file.watts if file.watts else None
    return FileShown(light=light, file=file, lm_per_w=per_watt, rated_lm=rated, keywords=keywords)


def light_shown(emitter: Emitter, name: str) -> LightShown:
    """Raises LightError for a light that gives nothing."""
    flux = emitter.flux_lm
    lumens = photometry.zonal_lumens(emitter)
    table = polar_table(emitter)
    beam, field = photometry.beam_deg(emitter), photometry.field_deg(emitter)
    brightest = max(cd for row in polar_table(emitter, 1.0).rows for cd in row.candela)
    words = _("Intensity by direction, straight down below: at most %(cd).0f cd, beam %(beam).0f°, field %(field).0f°.")
    svg = polar_svg(
        emitter,
        title=_("Polar curve of %s") % name,
        words=words % {"cd": brightest, "beam": beam, "field": field},
    )
    return LightShown(
        known=emitter.known,
        svg=mark_safe(svg),  # written by polar_svg, which escapes every word
        table=table,
        flux_lm=flux,
        brightest_cd=brightest,
        beam_deg=beam,
        field_deg=field,
        center_beam_deg=_center_beam(emitter, beam),
        spacing=_spacing(emitter),
        zones=tuple(
            Zone(10 * number, 10 * number + 10, float(each), 100 * float(each) / flux)
            for number, each in enumerate(lumens)
        ),
        down_percent=100 * photometry.down_fraction(emitter),
        axial=emitter.axial,
        utilization=table_of(emitter),
    )


def type_shown(fixture_type):
    """A light type's curve for its page, or None: it is no light, or nothing of its light is known."""
    if fixture_type.kind != "light":
        return None
    try:
        emitter = photometric.emitter_of(fixture_type)
        return emitter and light_shown(emitter, fixture_type.name)
    except LightError:
        return None


def _spacing(emitter):
    try:
        return photometry.spacing_criterion(emitter)
    except LightError:
        return None


def _center_beam(emitter, beam):
    try:
        told = photometry.beam_deg(emitter, photometry.Against.CENTER)
    except LightError:
        return None
    return told if abs(told - beam) >= 0.5 else None  # half a degree is nothing anybody sees
