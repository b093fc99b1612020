"""Cable schedule, reel plan and pull list as documents, and hand-set runs in words. Values in, HTML out."""

from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from layout.engine.lengths import as_typed
from reports.cables.gather import JobCables, holes_of, length_of
from reports.cables.words import Words, notes_in_words
from reports.contents import head_of
from reports.documents.takeoff import missing_in_words
from reports.papers import Document
from reports.wired import way_points


def cable_schedule(found: JobCables, words: Words, *, on) -> Document:
    """Every cable: number, both ends, length, cable, zone and circuit; what is by hand and what isn't counted yet."""
    head, title = head_of(found.job, on=on), _("Cable schedule")
    total, by_hand = length_of(found.cables)
    context = {
        "head": head,
        "title": title,
        "rooms": [
            (name, [words.row(cable, pull=found.pull_of(cable)) for cable in mine]) for name, mine in _by_room(found)
        ],
        "kinds": _kinds(found, words),
        "total": words.long(total),
        "by_hand": words.long(by_hand) if by_hand else "",
        "holes": holes_of(found.cables),
        "missing": _missing(found),
        "notes": notes_in_words(found.cables),
    }
    return Document(title, render_to_string("wiring/schedule.html", context), head, "cable-schedule")


def _by_room(found):
    rooms = {}
    for cable in found.cables:
        rooms.setdefault(cable.room.name, []).append(cable)
    return rooms.items()


def _kinds(found, words):
    """(cable, how many, length before waste, pieces): what there is of each kind."""
    kinds = dict.fromkeys(cable.run.cable for cable in found.cables)
    rows = []
    for kind in kinds:
        mine = [cable for cable in found.cables if cable.run.cable == kind]
        rows.append((words.name(kind), len(mine), words.long(length_of(mine)[0])))
    return rows


def _missing(found):
    return [(room, missing_in_words(each)) for room, each in found.missing]


def reel_plan(found: JobCables, plans, words: Words, *, on, costs) -> Document:
    """Which reels to open and to buy, and what comes off each. costs: whether the reader may see prices."""
    head, title = head_of(found.job, on=on), _("Reel plan")
    context = {
        "head": head,
        "title": title,
        "plans": [words.plan(plan) for plan in plans],
        "costs": costs,
        "missing": _missing(found),
        "in_already": len(found.pulled),
    }
    return Document(title, render_to_string("wiring/reel_plan.html", context), head, "reel-plan")


def pull_list(found: JobCables, plans, words: Words, *, on) -> Document:
    """What to pull, reel by reel, the longest first, with room for the marks on the jacket."""
    head, title = head_of(found.job, on=on), _("Pull list")
    reels = [
        (words.name(plan.cable), words.reel(reel, place)) for plan in plans for place, reel in enumerate(plan.reels, 1)
    ]
    context = {
        "head": head,
        "title": title,
        "reels": reels,
        "too_long": [each for plan in plans for each in words.plan(plan).too_long],
        "missing": _missing(found),
        "pulled": [words.row(cable, pull=pull) for cable in found.cables if (pull := found.pull_of(cable))],
    }
    return Document(title, render_to_string("wiring/pull_list.html", context), head, "pull-list")


# A run set by hand, in words


def said_of_hand_run(record, tape):
    """'40 ft, taped along the way it goes (R., May 3)'."""
    parts = [tape.show(record.length)] if record.length is not None else []
    bends = len(way_points(record.way))
    if bends:
        parts.append(_("a way with %(n)s bends") % {"n": bends})
    who = record.by.user.name if record.by else ""
    return _("%(what)s: %(why)s (%(who)s)") % {"what": ", ".join(parts), "why": record.why, "who": who}


def bends_as_typed(way, tape, backward=False):
    """A stored way as it is typed: a bend a line."""
    points = way_points(turned(way, backward))
    return "\n".join(f"{as_typed(point.x, tape)}, {as_typed(point.y, tape)}" for point in points)


def turned(way, backward):
    """The bends from the other end on."""
    return "\n".join(reversed(way.splitlines())) if backward else way


def order_in_words(ordered, words):
    """How good the order of lights is: proved, or how far from it at most."""
    what = {"zone": _("Zone"), "circuit": _("Circuit"), "speakers": _("Speakers")}.get(ordered.what, ordered.what)
    name = f"{what} {ordered.name}".strip()
    if ordered.length > ordered.best:
        return _("%(name)s: in the order set by hand, %(more)s more than the shortest found.") % {
            "name": name,
            "more": words.long(ordered.length - ordered.best),
        }
    if ordered.exact:
        return _("%(name)s: no order of its %(n)s takes less cable.") % {"name": name, "n": len(ordered.order)}
    return _("%(name)s: the shortest order found; none can be more than %(gap).1f %% shorter.") % {
        "name": name,
        "gap": ordered.gap_percent,
    }
