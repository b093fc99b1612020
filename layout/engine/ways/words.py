"""What to say of a clash, of a way out and of one that doesn't exist, in a crew's words and on the shop's tape.

names: what the shop calls a thing, by the name it was entered under; and the walls, under 'along', 'across' (the far
ends of the two coordinates) and 'zero along', 'zero across'.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

from layout.engine.findings import say
from layout.engine.lengths import ZERO, Distance, Length, Tape, Unit, inches, mm
from layout.engine.overhead.stand import Direction
from layout.engine.room import RoomLayout
from layout.engine.ways.read import lines_at
from layout.engine.ways.rules import (
    Clash,
    Compromise,
    Cost,
    InTheWay,
    Missing,
    Move,
    NoWay,
    Safety,
    Taste,
    Way,
    WayKind,
)

Names = Mapping[str, str]

UNSEEN = {Unit.INCH: inches(2), Unit.MM: mm(50)}  # a center lost by more is seen; common practice, no source
ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


# Why it won't fit


def say_clash(clash: Clash, tape: Tape, names: Names | None = None) -> str:
    """'Won't fit: the middle light is fixed on the center line, and joist 3 lies 1 1/4" from it. It needs 4 7/16".'"""
    fixed = _fixed(clash, tape)
    if clash.safety and not clash.taste and clash.safety[0].kind in (Safety.MEMBER, Safety.THING):
        return f"Won't fit: {_named(clash, names or {})} in the way wherever it is put."
    if not clash.safety:
        return f"{fixed[0].upper()}{fixed[1:]}: a gap is over the spacing limit."
    return f"Won't fit: {fixed}, and {_in_the_way(clash, tape, names or {})}"


def _named(clash: Clash, names: Names) -> str:
    found = [_called(each, names) for each in clash.safety]
    return f"{_listed(found)} {'are' if len(found) > 1 else 'is'}"


def _fixed(clash: Clash, tape: Tape) -> str:
    """What holds the line where it is."""
    taste, subject = set(clash.taste), _subject(clash)
    if Taste.MIDWAY in taste:
        if Taste.MIRRORED in taste:
            return f"{subject} is fixed on the center line"
        return f"{subject} stands midway between its lights, at {tape.show(clash.at)}"
    if Taste.PINNED in taste:
        return f"{subject} is pinned at {tape.show(clash.at)}"
    if Taste.OFF_THE_WALL in taste and _outer(clash):
        many = f", with {_many(clash)}" if Taste.COUNT in taste else ""
        return f"{subject} is held {tape.show(clash.off_wall)} off the wall{many}"
    if Taste.MIRRORED in taste and 2 * clash.number == clash.count + 1:
        return f"{subject} is fixed on the center line"
    because = [
        words
        for rule, words in (
            (Taste.OFF_THE_WALL, "the distance off the wall"),
            (Taste.GAPS_ALIKE, "gaps alike"),
            (Taste.SPACING, "the spacing limit"),
            (Taste.MIRRORED, "both halves alike"),
            (Taste.COUNT, _many(clash)),
        )
        if rule in taste
    ]
    return f"{subject} is fixed at {tape.show(clash.at)} by {_listed(because or ['where it was asked for'])}"


def _subject(clash: Clash) -> str:
    if not clash.number:
        return clash.mark
    what = clash.kind.value if clash.direction is Direction.ALONG else "row"
    if clash.speaker:
        near = "lights" if clash.direction is Direction.ALONG else "rows"
        return f"the speaker between {near} {clash.number} and {clash.number + 1}"
    ordinal = _ordinal(clash.number, clash.count)
    return f"the {ordinal} {what}" if ordinal else f"{what} {clash.number}"


def _ordinal(number: int, count: int) -> str:
    """'' past the tenth, which nobody counts by."""
    if count == 1:
        return "only"
    if number == count:
        return "last"
    if 2 * number == count + 1:
        return "middle"
    return ORDINALS[number - 1] if number <= len(ORDINALS) else ""


def _outer(clash: Clash) -> bool:
    return clash.number in (0, 1, clash.count)


def _many(clash: Clash) -> str:
    if clash.direction is Direction.ACROSS:
        return f"{clash.count} rows" if clash.count > 1 else "one row"
    what = "light" if clash.speaker else clash.kind.value
    return f"{clash.count} {what}s in a row" if clash.count > 1 else f"one {what} in a row"


def _in_the_way(clash: Clash, tape: Tape, names: Names) -> str:
    met = clash.safety[0]
    name = _called(met, names)
    too = _too([_called(each, names) for each in clash.safety[1:]])
    match met.kind:
        case Safety.MEMBER:
            lies = f"{name} lies {tape.show(met.apart)} from it" if met.apart else f"{name} runs right over it"
            return f"{lies}. {_needs(clash, met, tape)}{too}"
        case Safety.THING:
            return f"{name} is {tape.show(met.short_by)} too near: {tape.show(met.needed)} is kept clear.{too}"
        case Safety.EDGE:
            return f"the edge is {tape.show(met.short_by)} too near: {tape.show(met.needed)} of drywall is kept."
        case Safety.WEB:
            return f"the next one is {tape.show(met.short_by)} too near: {tape.show(met.needed)} is kept between."
        case Safety.DEPTH:
            return f"it is {tape.show(met.short_by)} too deep{f' for {name}' if name else ''}."
        case Safety.OTHER:
            return "that place can't be used."


def _called(met: InTheWay, names: Names) -> str:
    """'joist 3', 'the smoke alarm', 'the HVAC trunk'; what a shop already calls 'the' or a number stays as it is."""
    name = names.get(met.name, met.name)
    if met.kind is not Safety.THING or not name or name[-1].isdigit() or name.lower().startswith("the "):
        return name
    return f"the {name if name[:2].isupper() else name[0].lower() + name[1:]}"


def _too(also: list[str]) -> str:
    if not also:
        return ""
    named = _listed(also)
    return f" {named[0].upper()}{named[1:]} {'are' if len(also) > 1 else 'is'} in the way too."


def _needs(clash: Clash, met: InTheWay, tape: Tape) -> str:
    what = {"hole": f"A {tape.show(clash.cutout)} hole", "frame": "Its frame"}.get(met.part, "It")
    return f"{what} needs {tape.show(met.needed)} from the middle of the framing."


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


# Ways out


def say_way(way: Way, tape: Tape, names: Names | None = None) -> str:
    """What to do: 'Move columns 1 and 4 toward the middle by 1 15/16".'"""
    said = _moves_said(way.moves, way.layout, tape, names or {})
    match way.kind:
        case WayKind.RESPACE:
            return _respaced(way, tape, names or {})
        case WayKind.PAIRS:
            return f"Move {_listed(said)}."
        case WayKind.SLIDE | WayKind.SHIFT:
            return f"{'Slide' if way.kind is WayKind.SLIDE else 'Move'} {_listed(said)}."
        case WayKind.SMALLER:
            cutout = tape.show(way.layout.inputs.light.cutout)
            return f"Use {way.fixture} instead: a {cutout} hole, everything else where it is."
        case WayKind.ONE_MORE | WayKind.ONE_FEWER:
            return _count(way, tape)
        case WayKind.ONE_ALONE:
            return f"Move {_listed(said)}, nothing else."


def say_costs(way: Way, tape: Tape) -> tuple[str, ...]:
    """What it takes from the shop's own taste, a line each."""
    return tuple(_cost(cost, tape) for cost in way.costs)


def say_still(way: Way, tape: Tape) -> tuple[str, ...]:
    """What doesn't fit after it."""
    return tuple(say(finding, tape) for finding in way.still)


def say_compromise(compromise: Compromise, tape: Tape, names: Names | None = None) -> str:
    count = len(compromise.left)
    places = "1 place is" if count == 1 else f"{count} places are"
    deep = tape.show(compromise.deepest)
    if not compromise.moves:
        return f"Won't fit. As it is, {places} in the way, by {deep} at most."
    moved = _listed(_moves_said(compromise.moves, compromise.layout, tape, names or {}))
    return f"Won't fit. Least in the way: move {moved}; {places} still in the way, by {deep} at most."


def _line(direction: Direction, number: int | str = "") -> str:
    return f"{'column' if direction is Direction.ALONG else 'row'} {number}".rstrip()


def _respaced(way: Way, tape: Tape, names: Names) -> str:
    lines = lines_at(way.layout, way.direction)
    what = "Both ends" if way.direction is Direction.ALONG else "Both outer rows"
    ends = f"{what} {tape.show(lines[0])} off the wall, gaps {_gaps(lines, tape)}"
    others = tuple(move for move in way.moves if move.direction is not way.direction)
    return f"{ends}; move {_listed(_moves_said(others, way.layout, tape, names))}." if others else f"{ends}."


def _gaps(lines: tuple[Length, ...], tape: Tape) -> str:
    gaps = [b - a for a, b in pairwise(lines)]
    least, most = min(gaps, key=lambda gap: gap.nm), max(gaps, key=lambda gap: gap.nm)
    return tape.show(least) if most - least <= tape.step else f"{tape.show(least)} to {tape.show(most)}"


def _moves_said(moves: tuple[Move, ...], layout: RoomLayout, tape: Tape, names: Names) -> list[str]:
    """Lines that move together, then pairs, then each by itself; then marks."""
    said = []
    for direction in Direction:
        mine = [move for move in moves if move.direction is direction and not move.mark]
        count = len(lines_at(layout, direction))
        by = {move.number: move.by for move in mine}
        if len(by) == count > 1 and len(set(by.values())) == 1:
            said.append(f"all {_line(direction)}s {tape.show(abs(mine[0].by))} {_toward(direction, mine[0].by, names)}")
        elif by and all(by.get(count + 1 - number) == -each for number, each in by.items()):
            said += [_pair(move, count, tape) for move in mine if 2 * move.number <= count]
        else:
            said += [_moved(move, tape, names) for move in mine]
    return said + [_moved(move, tape, names) for move in moves if move.mark]


def _pair(move: Move, count: int, tape: Tape) -> str:
    toward = "toward the middle" if move.by > ZERO else "toward the walls"
    return f"{_line(move.direction)}s {move.number} and {count + 1 - move.number} {toward} by {tape.show(abs(move.by))}"


def _toward(direction: Direction, by: Distance, names: Names) -> str:
    key = direction.value if by > ZERO else f"zero {direction.value}"
    wall = names.get(key, "")
    if wall:
        return f"toward the {wall}"
    return "away from zero" if by > ZERO else "toward zero"


def _moved(move: Move, tape: Tape, names: Names) -> str:
    what = move.mark or _line(move.direction, move.number)
    return f"{what} {tape.show(abs(move.by))} {_toward(move.direction, move.by, names)}"


def _count(way: Way, tape: Tape) -> str:
    lines = lines_at(way.layout, way.direction)
    count = len(lines)
    what = _line(way.direction)
    many = f"{count} {what if count == 1 else what + 's'}"
    more = "One more" if way.kind is WayKind.ONE_MORE else "One fewer"
    if count == 1:
        return f"{more} {what}: {many}, {tape.show(lines[0])} off the wall."
    return f"{more} {what}: {many}, ends {tape.show(lines[0])} off the wall, gaps {_gaps(lines, tape)}."


def _cost(cost: Cost, tape: Tape) -> str:
    by = tape.show(abs(cost.by))
    ends = "ends" if cost.direction is Direction.ALONG else "outer rows"
    match cost.rule:
        case Taste.MIRRORED:
            seen = "" if cost.by <= UNSEEN[tape.unit] else ": the center is visibly lost"
            return f"off the center by {by}{seen}"
        case Taste.OFF_THE_WALL:
            return f"{ends} {by} {'nearer the wall' if cost.by < ZERO else 'farther off the wall'} than you asked"
        case Taste.GAPS_ALIKE:
            return f"gaps differ by {by}"
        case Taste.SPACING:
            between = "gap" if cost.direction is Direction.ALONG else "gap between rows"
            return f"a {between} {by} over the spacing limit"
        case Taste.COUNT:
            what = _line(cost.direction) + ("" if abs(cost.lines) == 1 else "s")
            return f"{abs(cost.lines)} {what} {'more' if cost.lines > 0 else 'fewer'}"
        case Taste.STRAIGHT:
            return f"one light off its line by {by}"
        case Taste.CUTOUT:
            return f"a hole {by} {'smaller' if cost.by > ZERO else 'larger'} than the one chosen"
        case Taste.PINNED | Taste.MIDWAY:
            return "what was pinned moves" if cost.rule is Taste.PINNED else "a speaker off the middle of its gap"


TITLES = {
    WayKind.SLIDE: "Slide the rows",
    WayKind.RESPACE: "Change both ends",
    WayKind.PAIRS: "Move a pair",
    WayKind.SHIFT: "Move everything",
    WayKind.SMALLER: "Smaller hole",
    WayKind.ONE_MORE: "One more",
    WayKind.ONE_FEWER: "One fewer",
    WayKind.ONE_ALONE: "One alone",
}


def say_missing(missing: Missing, tape: Tape) -> str:
    """Why a way doesn't exist here."""
    within = tape.show(missing.within)
    what = {
        WayKind.SLIDE: f"no slide of the rows within {within} clears",
        WayKind.RESPACE: "no other distance off the wall clears with gaps alike",
        WayKind.PAIRS: f"no move of pairs within {within} clears",
        WayKind.SHIFT: f"no move of everything within {within} clears",
        WayKind.ONE_ALONE: f"no move of one alone within {within} clears",
    }
    match missing.why:
        case NoWay.NOT_WITHIN:
            said = what.get(missing.kind, "nothing clears")
        case NoWay.PINNED:
            said = "a pinned line holds the others"
        case NoWay.MIDDLE_FIXED:
            line = "light" if missing.direction is Direction.ALONG else "row"
            said = f"the middle {line} stays on the center line, and something is in its way"
        case NoWay.NOT_MIRRORED:
            said = "the two halves aren't alike now, so there are no pairs"
        case NoWay.NOTHING_TO_MOVE:
            said = {
                WayKind.ONE_FEWER: "there is none to leave out",
                WayKind.ONE_MORE: "there are as many as a row takes",
            }.get(missing.kind, "there is only one line")
        case NoWay.NO_SMALLER:
            said = "no smaller light is in the catalog for this"
        case NoWay.STILL_IN_THE_WAY:
            said = "something is still in the way"
        case NoWay.SPEAKERS_LOST:
            said = "the speakers would have no gap left to stand in"
        case NoWay.TYPED:
            said = "the distances are typed: change them yourself"
        case NoWay.ON_FRAMING:
            said = "sliding along a joist doesn't get a hole off it"
        case NoWay.ON_TILES:
            said = "lights stand in the middle of tiles, and no other tiles clear"
        case NoWay.SAME:
            said = "it comes to the same as one above"
    return f"{TITLES[missing.kind]}: {said}."
