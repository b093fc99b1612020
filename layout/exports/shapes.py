"""What stands on an exported sheet, layer by layer, full size and exact. Knows no file format.

x runs to the right and y toward the far wall, from the ceiling's edge at the left and the door wall.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from layout.drawing import Names, last_to_wall, running
from layout.engine.ceiling import Corner
from layout.engine.lengths import ZERO, Distance, Length, Tape, Unit, inches, mm
from layout.engine.marks import Axis, Datum, Kind, Mark, Side
from layout.engine.overhead.stand import Direction, StandingMember, StandingThing
from layout.engine.room import Fitting, RoomLayout
from layout.exports import words as say
from layout.plans import insets, natural_datum, wall_from_zero


class Layer(StrEnum):
    CEILING = "CEILING"
    WALLS = "WALLS"
    FRAMING = "FRAMING"
    LIGHTS = "LIGHTS"
    SPEAKERS = "SPEAKERS"
    KEEP_OUT = "KEEP-OUT"
    DIMENSIONS = "DIMENSIONS"
    TEXT = "TEXT"


LAYER_OF = {Kind.LIGHT: Layer.LIGHTS, Kind.SPEAKER: Layer.SPEAKERS, Kind.SUBWOOFER: Layer.SPEAKERS}


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a sheet is called. revision: as printed, 'R3' or 'draft'. datum: None for the face the sum speaks from."""

    job: str
    room: str
    revision: str
    tape: Tape
    walls: Names = field(default_factory=Names)
    datum: Datum | None = None


@dataclass(frozen=True, slots=True)
class Ring:
    """A closed line. dashed: what isn't seen from the room."""

    layer: Layer
    corners: tuple[Corner, ...]
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Stroke:
    layer: Layer
    start: Corner
    end: Corner


@dataclass(frozen=True, slots=True)
class Circle:
    layer: Layer
    center: Corner
    radius: Distance
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Rounded:
    """An upright rectangle with a line kept `away` from it all round: its corners are arcs. Always dashed."""

    layer: Layer
    left: Distance
    door: Distance
    right: Distance
    far: Distance
    away: Distance


@dataclass(frozen=True, slots=True)
class Words:
    """Text that starts at `at` and stands on it; centered where it is about a point."""

    layer: Layer
    at: Corner
    text: str
    high: Length
    centered: bool = False


@dataclass(frozen=True, slots=True)
class Running:
    """One running dimension. axis: the coordinate of `feature` it gives, from `origin`. at: where its number stands."""

    axis: Axis
    origin: Corner
    feature: Corner
    at: Corner
    text: str
    layer: Layer = Layer.DIMENSIONS


Shape = Ring | Stroke | Circle | Rounded | Words | Running


@dataclass(frozen=True, slots=True)
class Sizes:
    """Type and margins of a sheet that is printed at 1:48 or 1:50 and read by hand: 1/8 in there is 6 in here."""

    number: Length
    title: Length
    off: Length  # from the outermost line to the numbers

    @classmethod
    def of(cls, unit: Unit) -> Sizes:
        return cls(inches(4), inches(6), inches(12)) if unit is Unit.INCH else cls(mm(100), mm(150), mm(300))

    @property
    def names_off(self) -> Distance:
        """From the outermost line to the walls' names: past the longest number, 13'-11 15/16"."""
        return self.off + 11 * self.number

    def long(self, text: str) -> Distance:
        """About as long as words are: three quarters of their height for each letter."""
        return self.number * len(text) * Fraction(3, 4)


def shapes(layout: RoomLayout, sheet: Sheet) -> Iterator[Shape]:
    """All of a sheet. Raises ValueError when the datum is framing that was never measured."""
    size = Sizes.of(layout.inputs.unit)
    yield from _walls(layout)
    yield from _ceiling(layout, sheet, size)
    yield from _framing(layout)
    yield from _keep_outs(layout, size)
    for mark in layout.arrangement.marks:
        yield from _mark(layout, mark, size)
    yield from _dimensions(layout, sheet, size)
    yield from _wall_names(layout, sheet, size)
    yield from _title(layout, sheet, size)


def place(layout: RoomLayout, along: Distance, across: Distance) -> Corner:
    """A point from the zero corner, on the sheet."""
    wide, deep = layout.wide.datums.ceiling, layout.deep.datums.ceiling
    return Corner(*layout.inputs.orientation.plan_xy(along, across, wide, deep))


def _box(left: Distance, door: Distance, right: Distance, far: Distance) -> tuple[Corner, ...]:
    return Corner(left, door), Corner(right, door), Corner(right, far), Corner(left, far)


# Edges


def _walls(layout: RoomLayout) -> Iterator[Shape]:
    """The finished wall, and the framing behind it where it was measured. An outline's walls are drawn where they stand
    at its edge; how far they stand off a floating one is known for a rectangle only.
    """
    faces = [Datum.FINISHED]
    if all(result.datums.start_offset is not None for result in (layout.along, layout.across)):
        faces.append(Datum.FRAMING)
    if layout.inputs.outline:
        if natural_datum(layout) is Datum.FINISHED:
            yield Ring(Layer.WALLS, layout.inputs.outline)
        return
    for face in faces:
        yield Ring(Layer.WALLS, _box(*_face(layout, face)), dashed=face is Datum.FRAMING)


def _face(layout: RoomLayout, face: Datum) -> tuple[Distance, Distance, Distance, Distance]:
    """left, door, right, far of the rectangle this face of the walls makes."""
    low_high = []
    for result in (layout.wide, layout.deep):
        start, end = insets(result, face)
        if layout.inputs.orientation.zero_side(result.axis) in (Side.RIGHT, Side.FAR):
            start, end = end, start
        low_high.append((-start, result.datums.ceiling + end))
    (left, right), (door, far) = low_high
    return left, door, right, far


def outermost(layout: RoomLayout) -> tuple[Distance, Distance, Distance, Distance]:
    known = all(result.datums.start_offset is not None for result in (layout.along, layout.across))
    return _face(layout, Datum.FRAMING if known else Datum.FINISHED)


def _ceiling(layout: RoomLayout, sheet: Sheet, size: Sizes) -> Iterator[Shape]:
    edge = _box(ZERO, ZERO, layout.wide.datums.ceiling, layout.deep.datums.ceiling)
    yield Ring(Layer.CEILING, layout.inputs.outline or edge)
    for region in layout.inputs.regions:
        yield Ring(Layer.CEILING, region.corners)
        text = region.name
        if region.rise:
            form = say.HIGHER if region.rise > ZERO else say.LOWER
            text = str(form) % {"name": region.name, "by": sheet.tape.show(abs(region.rise))}
        at = min(region.corners, key=lambda corner: (corner.y.nm, corner.x.nm))
        yield Words(Layer.TEXT, Corner(at.x + size.number / 2, at.y + size.number / 2), text, size.number)


# What stands overhead


def _framing(layout: RoomLayout) -> Iterator[Shape]:
    for member in layout.standing.members:
        yield Ring(Layer.FRAMING, _member(layout, member), dashed=True)


def _member(layout: RoomLayout, member: StandingMember) -> tuple[Corner, ...]:
    """Face to face and edge to edge of the ceiling."""
    low, high = member.faces
    if member.on is Direction.ALONG:
        a, b = place(layout, low, ZERO), place(layout, high, layout.across.datums.ceiling)
    else:
        a, b = place(layout, ZERO, low), place(layout, layout.along.datums.ceiling, high)
    return _box(*_upright(a, b))


def _upright(a: Corner, b: Corner) -> tuple[Distance, Distance, Distance, Distance]:
    return min(a.x, b.x), min(a.y, b.y), max(a.x, b.x), max(a.y, b.y)


def _keep_outs(layout: RoomLayout, size: Sizes) -> Iterator[Shape]:
    """Each thing, and the line a hole's rim (or its center) keeps out of."""
    for thing in layout.standing.things:
        yield from _thing(layout, thing)
        center = place(layout, thing.along, thing.across)
        along_x = layout.inputs.orientation.rows_run is Axis.LEFT_RIGHT
        wide, deep = (thing.size_along, thing.size_across)[:: 1 if along_x else -1]
        if size.long(thing.name) < wide and 2 * size.number < deep and not thing.round:
            yield Words(Layer.TEXT, center, thing.name, size.number, centered=True)
        else:
            beside = Corner(center.x + wide / 2 + size.number / 2, center.y - size.number / 2)
            yield Words(Layer.TEXT, beside, thing.name, size.number)


def _thing(layout: RoomLayout, thing: StandingThing) -> Iterator[Shape]:
    """A thing that keeps nothing off, a shower's zone, has no such line."""
    center = place(layout, thing.along, thing.across)
    if thing.round:
        yield Circle(Layer.KEEP_OUT, center, thing.size_along / 2)
        if thing.clear and thing.keeps_off:
            yield Circle(Layer.KEEP_OUT, center, thing.size_along / 2 + thing.clear, dashed=True)
        return
    half_along, half_across = thing.size_along / 2, thing.size_across / 2
    a = place(layout, thing.along - half_along, thing.across - half_across)
    b = place(layout, thing.along + half_along, thing.across + half_across)
    yield Ring(Layer.KEEP_OUT, _box(*_upright(a, b)))
    if thing.clear and thing.keeps_off:
        yield Rounded(Layer.KEEP_OUT, *_upright(a, b), thing.clear)


# Marks


def _mark(layout: RoomLayout, mark: Mark, size: Sizes) -> Iterator[Shape]:
    """The hole at its true size with a cross through its center; what is no light has a square round it as well."""
    layer, at = LAYER_OF[mark.kind], place(layout, mark.along, mark.across)
    fitting: Fitting = layout.inputs.fittings[mark.kind]
    half = fitting.cutout / 2
    if fitting.square:
        yield _square(layer, at, half)
    else:
        yield Circle(layer, at, half)
    outer = {Kind.LIGHT: half, Kind.SPEAKER: half + size.number / 4, Kind.SUBWOOFER: half * 2}[mark.kind]
    if mark.kind is not Kind.LIGHT:
        yield _square(layer, at, outer)
    reach = half + size.number / 4
    yield Stroke(layer, Corner(at.x - reach, at.y), Corner(at.x + reach, at.y))
    yield Stroke(layer, Corner(at.x, at.y - reach), Corner(at.x, at.y + reach))
    beside = outer + size.number / 2
    yield Words(Layer.TEXT, Corner(at.x + beside, at.y + beside), mark.id, size.number)


def _square(layer: Layer, at: Corner, half: Distance) -> Ring:
    return Ring(layer, _box(at.x - half, at.y - half, at.x + half, at.y + half))


# Numbers and names


def _dimensions(layout: RoomLayout, sheet: Sheet, size: Sizes) -> Iterator[Shape]:
    """Running numbers outside the two walls at the zero corner, and what is left from the last mark to the wall."""
    datum = sheet.datum or natural_datum(layout)
    for name, result, other in (("along", layout.along, layout.across), ("across", layout.across, layout.along)):
        inset, _ = insets(result, datum)
        marks = [(mark.id, getattr(mark, name)) for mark in layout.arrangement.marks]
        if not marks:
            continue
        outside = -(insets(other, datum)[0] + size.off)
        numbers = [(one.at, one.text) for one in running(marks, sheet.tape, inset, name)]
        wall, last = wall_from_zero(result, datum), max(at for _, at in marks)
        numbers.append((wall - inset, f"+{last_to_wall(wall, last + inset, sheet.tape)}"))
        origin = _on(layout, name, -inset, ZERO)
        for at, text in numbers:
            feature, number = _on(layout, name, at, ZERO), _on(layout, name, at, outside)
            yield Running(result.axis, origin, feature, number, text)


def _on(layout: RoomLayout, name: str, at: Distance, other: Distance) -> Corner:
    return place(layout, at, other) if name == "along" else place(layout, other, at)


def _wall_names(layout: RoomLayout, sheet: Sheet, size: Sizes) -> Iterator[Shape]:
    left, door, right, far = outermost(layout)
    middle_x, middle_y, off = (left + right) / 2, (door + far) / 2, size.names_off
    half_left, half_right = (size.long(sheet.walls.of(side)) / 2 for side in (Side.LEFT, Side.RIGHT))
    for side, at in (
        (Side.DOOR, Corner(middle_x, door - off)),
        (Side.FAR, Corner(middle_x, far + off)),
        (Side.LEFT, Corner(left - off - half_left, middle_y)),
        (Side.RIGHT, Corner(right + off + half_right, middle_y)),
    ):
        if sheet.walls.of(side):
            yield Words(Layer.TEXT, at, sheet.walls.of(side), size.number, centered=True)


def title_lines(layout: RoomLayout, sheet: Sheet) -> tuple[str, ...]:
    """What the title block says."""
    turn = layout.inputs.orientation
    datum = sheet.datum or natural_datum(layout)
    zero = {"x": say.SIDE[turn.zero_x], "y": say.SIDE[turn.zero_y], "datum": say.DATUM[datum]}
    return (
        " · ".join(part for part in (sheet.job, sheet.room, sheet.revision) if part),
        str(say.REFLECTED),
        f"{say.FULL_SIZE[layout.inputs.unit]} {say.ORIGIN}",
        str(say.FROM) % zero,
        str(say.CAUTION),
    )


def _title(layout: RoomLayout, sheet: Sheet, size: Sizes) -> Iterator[Shape]:
    left, door, _, _ = outermost(layout)
    for number, text in enumerate(title_lines(layout, sheet)):
        high = size.title if number == 0 else size.number
        down = size.names_off + (4 + 2 * number) * size.title
        yield Words(Layer.TEXT, Corner(left, door - down), text, high)


def extent(all_shapes: Iterable[Shape]) -> tuple[Distance, Distance, Distance, Distance]:
    """left, door, right, far of all shapes."""
    corners = [corner for shape in all_shapes for corner in _reach(shape)]
    xs, ys = [corner.x for corner in corners], [corner.y for corner in corners]
    return min(xs), min(ys), max(xs), max(ys)


def _reach(shape: Shape) -> tuple[Corner, ...]:
    match shape:
        case Ring():
            return shape.corners
        case Stroke():
            return shape.start, shape.end
        case Circle():
            at, r = shape.center, shape.radius
            return _box(at.x - r, at.y - r, at.x + r, at.y + r)
        case Rounded():
            away = shape.away
            return _box(shape.left - away, shape.door - away, shape.right + away, shape.far + away)
        case Words():
            long = shape.high * len(shape.text) * Fraction(3, 4)
            left = shape.at.x - long / 2 if shape.centered else shape.at.x
            return _box(left, shape.at.y - shape.high, left + long, shape.at.y + shape.high)
        case Running():
            return shape.feature, shape.at
