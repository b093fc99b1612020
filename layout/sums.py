"""The sum column: each line one number, what it is, what it does to the next. Words and tape, no geometry."""

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from layout.drawing.values import last_to_wall
from layout.engine.lengths import Distance, Tape
from layout.engine.marks import Kind
from layout.engine.room import AxisResult, RoomLayout
from layout.engine.rows.arrange import Mode
from layout.engine.stacks import SideBuildUp
from layout.plans import sides_of
from layout.sum_ceiling import nearest_light, of_the_ceiling, on_the_slope
from layout.sum_lines import COMMON, Column, Line, Words
from projects.catalogue.tables import spacing_rules


def columns(layout: RoomLayout, words: Words) -> tuple[Column, Column]:
    along = Column(
        _("Along the rows: %s") % words.way(layout.along.axis),
        (
            *_ceiling("along", layout.along, layout, words),
            *_along(layout, words),
            *of_the_ceiling("along", layout, words),
            *_running("along", layout, words),
        ),
    )
    across = Column(
        _("Across the rows: %s") % words.way(layout.across.axis),
        (
            *_ceiling("across", layout.across, layout, words),
            *_across(layout, words),
            *of_the_ceiling("across", layout, words),
            *_running("across", layout, words),
        ),
    )
    return along, across


# From what was taped to the ceiling you will see


def _ceiling(key, result: AxisResult, layout, words):
    framing, finished = words.sizes[result.axis]
    start, end = sides_of(result, layout.inputs.orientation)
    if result.span is not None:
        yield Line(f"{key}-framing", "", words.way(result.axis), words.exact(result.span.framing), framing.said)
        for side, build_up in ((start, result.span.start), (end, result.span.end)):
            yield from _taken(key, side, build_up, words)
        yield Line(
            f"{key}-sum",
            "=",
            _("ceiling by the sum"),
            words.exact(result.span.net),
            _shift(result, end if result.span.center_shift.nm > 0 else start, words),
            total=True,
            rule=_("Framing less what stands on both sides. Each wall has its own build-up, so the center can move."),
            source=COMMON,
        )
    if result.measured:
        yield Line(
            f"{key}-taped",
            "" if result.span is None else "≠" if result.datums.difference else "=",
            _("ceiling as taped"),
            words.exact(result.datums.ceiling),
            finished.said,
            total=True,
        )
        if result.datums.difference:
            yield _difference(key, result, words)
    if result.remainder:
        yield Line(
            f"{key}-remainder",
            "−",
            _("held at the %s") % words.wall(end),
            _finer(result.remainder, words.tape),
            _("finer than the tape's mark"),
            rule=_("Marks stand on whole tape marks; what is left over stays at the far side."),
            source=COMMON,
        )


def _taken(key, side, build_up: SideBuildUp, words):
    if build_up.layers:
        note = " + ".join(f"{layer.name} {words.exact(layer.thickness)}" for layer in build_up.layers)
        yield Line(
            f"{key}-{side.value}", "−", _("%s build-up") % words.wall(side), words.exact(build_up.thickness), note
        )
    if build_up.gap:
        yield Line(f"{key}-{side.value}-gap", "−", _("gap at the %s") % words.wall(side), words.exact(build_up.gap))


def _shift(result, toward, words):
    shift = result.span.center_shift
    if not shift:
        return _("center stays on the framing's center")
    by = words.tape.show(abs(shift))
    return _("center moves %(by)s toward the %(wall)s") % {"by": by, "wall": words.wall(toward)}


def _difference(key, result, words):
    by = words.tape.show(abs(result.datums.difference))
    said = _("%s more than the sum") if result.datums.difference.nm > 0 else _("%s less than the sum")
    unknown = result.datums.assumed
    return Line(
        f"{key}-difference",
        "",
        _("the difference, half at each wall until someone looks") if unknown else _("the difference, placed"),
        words.exact(abs(result.datums.difference)),
        said % by,
        tone="warn" if unknown else "",
        rule=_("The taped ceiling rules. Framing numbers close on the framing with the wall you name."),
        source=COMMON,
        ask=_("At which wall does it lie?"),
    )


def _finer(distance, tape):
    finest = Tape(tape.style, 64) if tape.unit.value == "in" else tape
    printed = finest.rounded(distance)
    return finest.show(printed, mark=False) if printed else _("under 1/64") if tape.unit.value == "in" else _("under 1")


# Off the walls, between the marks


def _shown(layout):
    """The arrangement the lines are of: the whole room, or the largest of its zones, from that zone's own edges."""
    return layout.zones[0].arrangement if layout.zones and layout.zones[0].arrangement else layout.arrangement


def _along(layout, words):
    arrangement, inputs = _shown(layout), layout.inputs
    columns_ = arrangement.columns
    what = _("speakers in a row") if inputs.rows_of is Kind.SPEAKER else _("lights in a row")
    yield Line(
        "lights-per-row", "", what, str(len(columns_)), _("empty: the limit decides"), field="lights_per_row"
    )
    yield from _off_walls("along", columns_, arrangement.along_facts, inputs, words)
    if len(columns_) > 1:
        yield Line(
            "along-outer",
            "=",
            _("between outer lights"),
            words.show(columns_[-1] - columns_[0]),
            total=True,
        )
        gaps = arrangement.along_gaps
        over = max(gaps) > inputs.spacing_limit
        yield Line(
            "along-gap",
            "÷",
            ngettext("%s gap", "%s gaps", len(gaps)) % len(gaps),
            _range(gaps, words),
            _("over the limit") if over else _("within the limit"),
            tone="bad" if over else "ok",
        )
    yield Line(
        "spacing-limit",
        "",
        _("limit, center to center"),
        words.show(inputs.spacing_limit),
        _rules_of_thumb(words),
        field="spacing_limit",
        rule=_("The limit here rules. Rules of thumb only remind: %s") % spacing_rules().choice,
        source=_("limit: the shop's own; rules of thumb: %s") % spacing_rules().rules[0].source,
    )
    nearest = nearest_light(arrangement.marks)
    if nearest is not None:
        yield Line(
            "along-speaker", "", _("speaker to the nearest light"), words.show(nearest), _("half way, where it can be")
        )


def _across(layout, words):
    arrangement, inputs = _shown(layout), layout.inputs
    rows = arrangement.rows
    yield Line("rows", "", _("rows"), str(len(rows)), field="rows")
    yield from _off_walls("across", rows, arrangement.across_facts, inputs, words)
    if len(rows) > 1:
        yield Line("across-outer", "=", _("between outer rows"), words.show(rows[-1] - rows[0]), total=True)
        if len(rows) > 2:
            gaps = arrangement.across_gaps
            yield Line("across-gap", "÷", ngettext("%s gap", "%s gaps", len(gaps)) % len(gaps), _range(gaps, words))


def _off_walls(key, positions, facts, inputs, words):
    mode, asked, setback_field = (
        (inputs.mode_along, inputs.end_setback, "end_setback")
        if key == "along"
        else (inputs.mode_across, inputs.row_setback, "row_setback")
    )
    yield Line(f"{key}-mode", "", _("how they stand"), "", field=f"mode_{key}")
    if mode is Mode.LOCKED:
        yield Line(f"{key}-typed", "", _("your numbers from the zero corner"), "", field=f"typed_{key}")
        return
    walls = spacing_rules().walls
    # One line of lights stands in the middle, whatever was chosen: a box there would be a number nobody keeps.
    chosen = mode is Mode.WALL_HELD and len(positions) != 1
    if chosen or positions:
        middle = len(positions) == 1 and facts.off_wall == facts.last_to_wall
        elsewhere = chosen and positions and abs(positions[0] - asked) >= inputs.unit.tick
        yield Line(
            f"{key}-setback",
            "−",
            _("in the middle, off the wall") if middle else _("off the wall, first (setback)"),
            words.show(positions[0]) if positions else "",
            _("it stands at %s") % words.tape.show(positions[0]) if elsewhere else "",
            field=setback_field if chosen else "",
            rule=" ".join(walls.text.values()),
            source=walls.source,
            drawn=f"{key}-1",
        )
    if not positions:
        return
    yield Line(f"{key}-last", "−", _("off the wall, last"), words.show(facts.last_to_wall))
    yield Line(
        f"{key}-even",
        "",
        _("an even split would stand off the wall"),
        words.show(facts.even_split),
        _against_even(facts.nearer_wall_by, words),
        rule=_("Rows at equal parts leave the walls dim; rows held toward the walls light them."),
        source=COMMON,
    )


def _against_even(nearer_by, words):
    if not nearer_by:
        return _("this is the even split")
    if nearer_by.nm > 0:
        return _("yours are %s nearer the wall") % words.tape.show(nearer_by)
    return _("yours are %s farther from the wall") % words.tape.show(abs(nearer_by))


def _rules_of_thumb(words):
    """One quiet line: half the height, and a foot for each inch of the light."""
    said = []
    if words.height:
        said.append(_("height ÷ 2 = %s") % words.tape.show(words.height / 2))
    if words.aperture:
        said.append(_("inches as feet = %s") % words.tape.show(words.aperture * 12))
    return _("rules of thumb: %s") % "; ".join(said) if said else _("rules of thumb")


def _range(gaps, words):
    low, high = words.show(min(gaps)), words.show(max(gaps))
    return low if low == high else _("%(low)s to %(high)s") % {"low": low, "high": high}


# The running numbers, as the card prints them


def _running(key, layout, words):
    ids: dict[Distance, list[str]] = {}
    for mark in layout.arrangement.marks:
        ids.setdefault(getattr(mark, key), []).append(mark.id)
    result = layout.along if key == "along" else layout.across
    start, end = sides_of(result, layout.inputs.orientation)
    if ids:
        yield Line(f"{key}-zero", "0", _from_zero(result, words.wall(start)))
    for number, at in enumerate(sorted(ids), 1):
        yield Line(f"{key}-{number}", "→", _few(ids[at]), words.show(at), on_the_slope(at, layout, result, words))
    if ids:
        yield Line(
            f"{key}-proof",
            "→",
            _("last to the %s") % words.wall(end),
            last_to_wall(result.datums.ceiling, max(ids), words.tape),
            _("the proof: it adds up to the ceiling"),
            drawn=f"{key}-last",
        )


def _from_zero(result, wall):
    words = _("from the ceiling's edge, %s") if result.datums.start_gap else _("from the %s")
    return words % wall


def _few(ids):
    return ", ".join(ids) if len(ids) <= 4 else f"{ids[0]} … {ids[-1]}"


def counts_against_wanted(layout, room):
    """What was asked for beside what is laid out, where they differ."""
    wanted: dict[Kind, int | None] = {}
    for count in room.counts.all():
        if count.count is None:
            wanted[count.kind] = None
        elif wanted.get(count.kind, 0) is not None:
            wanted[count.kind] = (wanted.get(count.kind) or 0) + count.count
    names = {Kind.LIGHT: _("lights"), Kind.SPEAKER: _("speakers"), Kind.SUBWOOFER: _("subwoofers")}
    for kind, asked in wanted.items():
        laid = sum(mark.kind is kind for mark in layout.arrangement.marks)
        if asked is not None and asked != laid:
            yield _("%(asked)s %(what)s are asked for, %(laid)s are laid out.") % {
                "asked": asked,
                "what": names[kind],
                "laid": laid,
            }
