"""Whether lines can stand under a chosen few rules, and one way they do: stretch by stretch, exact. Names no rule.

A chain is a row of places, each in its stretches and from `least` to `most` past the one before. All in whole ticks.
"""

from __future__ import annotations

from dataclasses import dataclass

from layout.engine.ways.lines import Stretches, common, turned

Places = tuple[int, ...]


def chain(free: tuple[Stretches, ...], least: tuple[int, ...], most: tuple[int, ...]) -> Places | None:
    """One chain, each place as far back as it may be; None when there is none."""
    reached = [free[0]]
    for place, low, high in zip(free[1:], least, most, strict=True):
        reached.append(common(_joined(tuple((a + low, b + high) for a, b in reached[-1])), place))
        if not reached[-1]:
            return None
    if not reached[-1]:
        return None
    places = [reached[-1][0][0]]
    for stretches, low, high in zip(reversed(reached[:-1]), reversed(least), reversed(most), strict=True):
        places.append(common(stretches, ((places[-1] - high, places[-1] - low),))[0][0])
    return tuple(reversed(places))


def _joined(stretches: Stretches) -> Stretches:
    joined: list[tuple[int, int]] = []
    for low, high in sorted(stretches):
        if joined and low <= joined[-1][1] + 1:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        elif low <= high:
            joined.append((low, high))
    return tuple(joined)


@dataclass(frozen=True, slots=True)
class Rules:
    """The rules an axis is held to, in whole ticks.

    free: for each line, where it may stand. least: of each gap; most: of all. mirrored; alike: gaps differ by a tick at
    most. first, last: where the outer lines are held, or None. middle_stands: a mirrored middle line, which may stand
    on half a tick, is clear.
    """

    size: int
    free: tuple[Stretches, ...]
    least: tuple[int, ...]
    most: int
    mirrored: bool
    alike: bool
    first: int | None = None
    last: int | None = None
    middle_stands: bool = True


def stand(rules: Rules, now: int) -> Places | None:
    """Places that keep the rules; None when there are none. now: the gap to begin at where gaps are alike.

    A mirrored middle line is given to the tick below.
    """
    count = len(rules.free)
    free = list(rules.free)
    for number, held in ((0, rules.first), (-1, rules.last)):
        if held is not None:
            free[number] = common(free[number], ((held, held),))
    if rules.mirrored:
        if count % 2 and not rules.middle_stands:
            return None
        free = _near(rules.size, free)
    if not all(free):
        return None
    find = _mirrored if rules.mirrored else _plain
    if not rules.alike or count < 3:
        return find(rules, free, 0, rules.most)
    for gap in _gaps(rules, now):
        found = find(rules, free, gap, gap + 1)
        if found is not None:
            return found
    return None


def _gaps(rules: Rules, now: int) -> list[int]:
    """The narrower of gaps alike to a tick: what the outer lines leave where they are held; else all, nearest first."""
    gaps = len(rules.free) - 1
    if rules.first is not None and rules.last is not None:
        even = (rules.last - rules.first) // gaps
        return [even, even - 1]
    least, most = max(0, max(rules.least) - 1), min(rules.most, rules.size // gaps)
    return sorted(range(least, most + 1), key=lambda each: abs(each - now))


def _plain(rules: Rules, free: list[Stretches], narrowest: int, widest: int) -> Places | None:
    least = tuple(max(each, narrowest) for each in rules.least)
    return chain(tuple(free), least, (min(rules.most, widest),) * len(least))


def _near(size: int, free: list[Stretches]) -> list[Stretches]:
    """The lines before the middle, where each is clear with its mirror image."""
    near = []
    for number in range(len(free) // 2):
        image = tuple((low + size, high + size) for low, high in turned(free[len(free) - 1 - number]))
        near.append(common(free[number], image))
    return near


def _mirrored(rules: Rules, near: list[Stretches], narrowest: int, widest: int) -> Places | None:
    """The innermost line leaves the middle as it must be; each one before it follows from how many gaps are between."""
    count, size = len(rules.free), rules.size
    middle = (size // 2,) if count % 2 else ()
    if not near:
        return middle
    last = len(near) - 1
    least = [max(rules.least[gap], rules.least[count - 2 - gap], narrowest) for gap in range(len(near))]
    most = min(rules.most, widest)
    between = 1 + last
    windows = []
    for number, place in enumerate(near):
        across = count - 1 - 2 * number  # gaps from this line to its image
        window = (-((across * most - size) // 2), (size - across * min(least[number:between])) // 2)
        inside = common(place, (window,))
        if not inside:
            return None
        windows.append(inside)
    widths = 2 if middle else 1  # the innermost pair is as far apart as the gaps between them
    windows[last] = common(windows[last], ((-((widths * most - size) // 2), (size - widths * least[last]) // 2),))
    places = chain(tuple(windows), tuple(least[:-1]), (most,) * last)
    return None if places is None else (*places, *middle, *(size - at for at in reversed(places)))
