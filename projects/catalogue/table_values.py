"""The trade's tables as values: one layer, ceiling, fixture type, rule or stage. Knows no file and no Django.

Lengths are exact. `source` is where an entry came from; common practice is a default to change, never a limit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from layout.engine.lengths import Length
from layout.engine.overhead.values import ClearTo


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of a build-up. continuous: it covers the face; resilient: it is there to give."""

    key: str
    name: str
    thickness: Length
    surfaces: tuple[str, ...]  # of wall, ceiling, floor
    continuous: bool
    resilient: bool
    source: str


@dataclass(frozen=True, slots=True)
class CeilingSystem:
    """A kind of ceiling. layout_ready False: nothing is laid out or printed for it; not_yet says why."""

    key: str
    label: str
    wall_layers: tuple[str, ...]
    ceiling_layers: tuple[str, ...]
    perimeter_gap: Length  # finished wall to the ceiling's edge, each side
    edge_min: Length  # ceiling's edge to a hole's edge
    framing_as_wanted: bool  # the framing can still be laid around the lights
    layout_ready: bool
    not_yet: str
    cautions: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Frame:
    """A new-work plate: its size, and where the opening's center lies from one end and one side of it."""

    length: Length
    width: Length
    opening_from_end: Length
    opening_from_side: Length
    may_turn: bool


@dataclass(frozen=True, slots=True)
class JunctionBox:
    """The box that lies beside a thin light."""

    length: Length
    width: Length
    depth: Length


@dataclass(frozen=True, slots=True)
class FixtureType:
    """A generic light, speaker or subwoofer. Values are typical until a label is read and a cutout is verified."""

    key: str
    kind: str  # light, speaker, subwoofer
    name: str
    install: str  # new_work, old_work, tbar
    shape: str  # round, square: the cutout is a diameter or a side
    aperture: Length
    cutout: Length
    cutout_tolerance: Length
    cutout_verified: bool
    trim_od: Length
    depth: Length
    watts: int
    lumens: int | None
    beam_deg: int | None
    spacing_criterion: Decimal | None  # None until a data sheet is read
    impedance_ohm: int | None
    coverage_deg: int | None
    sensitivity_db: int | None  # dB at 1 W, 1 m
    frame: Frame | None  # new work
    clip_swing: Length | None  # old work: how far the clips reach past the hole's edge
    junction_box: JunctionBox | None
    ic_label: str
    source: str


@dataclass(frozen=True, slots=True)
class SpacingRule:
    key: str
    letter: str
    name: str
    text: str
    workplane: Length | None
    source: str


@dataclass(frozen=True, slots=True)
class WallRules:
    """How far off the wall, as thumb rules that remind: the sentences 'scallop', 'cave', 'share' and 'cap'."""

    text: Mapping[str, str]
    source: str


@dataclass(frozen=True, slots=True)
class SpacingRules:
    rules: tuple[SpacingRule, ...]
    choice: str
    choice_source: str
    walls: WallRules


@dataclass(frozen=True, slots=True)
class ChecklistItem:
    """One line to answer pass, fail or n/a. applies holds 'all' or the conditions that bring it in."""

    number: int
    group: str
    text: str
    caution: bool
    applies: tuple[str, ...]
    once_per: str  # job, floor, room
    holds: str | None  # the hold point that waits for its answer
    photo: bool  # a photo is wanted with it
    source: str


@dataclass(frozen=True, slots=True)
class Checklist:
    version: str
    closing: str
    groups: tuple[str, ...]
    items: tuple[ChecklistItem, ...]


@dataclass(frozen=True, slots=True)
class TakeoffItem:
    """What one light, speaker, zone, hop, room or job takes of one item. Empty kinds or installs: all of them."""

    key: str
    name: str
    unit: str
    category: str
    per: str
    quantity: Fraction
    kinds: tuple[str, ...]
    installs: tuple[str, ...]
    optional: bool  # counted only where it is asked for
    packs: tuple[int, ...]  # pack sizes in `unit`; empty: bought one by one
    note: str
    source: str


@dataclass(frozen=True, slots=True)
class SpareRule:
    """Spares for items: percent of the count rounded up, at least minimum, only where the count is over `above`."""

    key: str
    items: tuple[str, ...]
    percent: Fraction
    minimum: int
    above: int
    per: str  # model, color, job
    source: str


@dataclass(frozen=True, slots=True)
class Cable:
    """One bucket of cable. Buckets are never added together. waste: the key of its waste rule in open framing."""

    key: str
    name: str
    volts: str  # line, low
    use: str
    packs: tuple[Length, ...]
    waste: str
    source: str


@dataclass(frozen=True, slots=True)
class WasteRule:
    key: str
    name: str
    percent: Fraction
    source: str


@dataclass(frozen=True, slots=True)
class WireRule:
    """A length added to a run, and its reason."""

    key: str
    name: str
    length: Length
    source: str


@dataclass(frozen=True, slots=True)
class FeetPerDevice:
    """Cable for one device of a room that nobody has measured. key: light, speaker or subwoofer."""

    key: str
    name: str
    cable: str
    length: Length
    source: str


@dataclass(frozen=True, slots=True)
class TakeoffRules:
    """Everything a takeoff is counted by. rounding: when quantities become whole (room, job, order)."""

    version: str
    items: Mapping[str, TakeoffItem]
    spares: tuple[SpareRule, ...]
    cables: Mapping[str, Cable]
    waste: Mapping[str, WasteRule]
    wire: Mapping[str, WireRule]
    per_device: Mapping[str, FeetPerDevice]
    rounding: str


@dataclass(frozen=True, slots=True)
class Clearance:
    """What a hole keeps from one kind of thing. A default: a shop may change it, with a note.

    measured_from: what of the thing to measure to. round: it is usually entered as a circle. above: it stands above
    the drywall, where frames meet it too. fixed: safety; no way out ever takes from it. keeps_off False: nothing has
    to keep away; text and caution are said, and `clear` is how far they hold.
    """

    key: str
    name: str
    clear: Length
    clear_to: ClearTo
    measured_from: str
    round: bool
    above: bool
    fixed: bool
    keeps_off: bool
    text: str
    caution: str
    source: str


@dataclass(frozen=True, slots=True)
class Stage:
    """A room's stage 0 to 12. fill is the tag's: not_started, in_hand, waiting or done."""

    number: int
    key: str
    name: str
    who: str
    does: str
    needs: str
    leaves_when: str
    fill: str
    hold_point: str | None  # H1 to H4
    hold_label: str
    source: str


@dataclass(frozen=True, slots=True)
class StageTemplate:
    """The stages a kind of job goes through, in order, by their keys; what it doesn't name it skips.

    hold_points: at which stage each of H1 to H4 is held. closed_at: the stage at which the ceiling is closed for good,
    where whatever drywall asks elsewhere is asked; empty where it never was open. names: stages it calls otherwise.
    """

    key: str
    name: str
    stages: tuple[str, ...]
    hold_points: Mapping[str, str]
    closed_at: str
    names: Mapping[str, str]
    source: str


@dataclass(frozen=True, slots=True)
class StageQuestion:
    """What a person has seen and says by name, since no record of this book shows it. at: enter or leave."""

    key: str
    stage: str
    at: str
    hold: str
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class PhotoSet:
    """Photos a room needs before it leaves or enters a stage. per: 'room', or 'bay' between two joists.

    leave: the stage is not left without them; otherwise it isn't entered. not_for: jobs that run as one of these
    (projects.jobs.models.JobRuns) don't need it.
    """

    purpose: str
    title: str
    stage: str
    leave: bool
    per: str
    count: int
    not_for: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A sheet of stick-on labels: so many columns and rows, each label's size, and where they stand on the paper.

    left, top: paper's edge to the first label. across, down: from one label's edge to the next one's.
    """

    key: str
    name: str
    paper: str  # letter, A4
    columns: int
    rows: int
    width: Length
    height: Length
    left: Length
    top: Length
    across: Length
    down: Length
    source: str


OCTAVES_HZ = (125, 250, 500, 1000, 2000, 4000)


@dataclass(frozen=True, slots=True)
class LightTarget:
    """A level a space is lit to, kept up over the years. Lux; None: the document gives none, or it was not seen.

    kind: standard (a published document) or practice. known: seen, partly or memory, how much of the row was read.
    low_lux, high_lux: the range it stands in. wall_lux, ceiling_lux: at least. Never says that a design complies.
    """

    key: str
    group: str  # office, circulation, food, shop, home, any
    space: str
    kind: str
    document: str
    edition: str
    lux: float
    low_lux: float | None
    high_lux: float | None
    uniformity: float | None  # Uo, least over average
    glare_ugr: float | None  # UGR, at most
    color_ra: float | None  # Ra, at least
    wall_lux: float | None
    ceiling_lux: float | None
    known: str
    source: str


@dataclass(frozen=True, slots=True)
class SurfaceReflectance:
    """What share of light a finish gives back, 0 to 1: usual is where a room starts, low to high what to expect."""

    key: str
    surface: str  # ceiling, wall, floor
    name: str
    usual: float
    low: float
    high: float
    source: str


@dataclass(frozen=True, slots=True)
class PowerDensity:
    """Lighting power of a kind of space, W/ft2, to hold a design beside. Never a statement that it complies.

    more_over_rcr: the room cavity ratio over which the document allows 20 % more; None: none is known.
    """

    key: str
    space: str
    document: str
    edition: str
    w_per_ft2: float
    more_over_rcr: float | None
    known: str  # seen, memory
    source: str


@dataclass(frozen=True, slots=True)
class Absorption:
    """Share of sound a surface takes, 0 to 1. alpha: one for each of OCTAVES_HZ."""

    key: str
    name: str
    surfaces: tuple[str, ...]  # of ceiling, wall, floor
    alpha: tuple[float, ...]
    source: str
