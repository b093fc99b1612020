"""What a room gets, in plain words, from what was kept. No numbers of the mark-out, no product of a maker."""

from collections import Counter

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from layout.engine.lengths import mm
from layout.engine.marks import Kind
from layout.light.pictures.values import Told


def what_it_gets(told, tape) -> list[str]:
    return list(_lines(told, tape))


def _lines(told, tape):
    counts = Counter((mark["kind"], mark["type"]) for mark in told["marks"])
    for (kind, name), count in counts.items():
        yield _counted(kind, count) % {"n": count, "type": name}
    switches = {}
    for mark in told["marks"]:
        if mark["kind"] == Kind.LIGHT.value:
            switches.setdefault(mark["zone"], []).append(mark["id"])
    if len(switches) > 1:
        for letter, idents in sorted(switches.items()):
            yield _("Switch %(letter)s turns on %(marks)s.") % {"letter": letter, "marks": ", ".join(idents)}
    elif switches:
        yield _("All its lights go on together.")
    if told["height"] is not None:
        yield _("The finished ceiling is %s above the floor.") % tape.show(mm(told["height"]))
    if told["light"]:
        level = Told(tape).both(told["light"]["lux"])
        height = tape.show(mm(told["light"]["plane"]))
        yield _("Worked out, not measured: about %(level)s on average at %(height)s above the floor.") % {
            "level": level, "height": height,
        }  # fmt: skip
    for piece in told["furniture"]:
        if piece["marks"]:
            yield _("Laid out for the %(piece)s here: %(marks)s.") % {
                "piece": piece["name"], "marks": ", ".join(piece["marks"]),
            }  # fmt: skip
        else:
            yield _("The %(piece)s is drawn where it was told; no light is laid out for it.") % {"piece": piece["name"]}


def _counted(kind, count):
    if kind == Kind.LIGHT.value:
        return ngettext("%(n)s light: %(type)s.", "%(n)s lights: %(type)s.", count)
    if kind == Kind.SPEAKER.value:
        return ngettext("%(n)s speaker: %(type)s.", "%(n)s speakers: %(type)s.", count)
    return ngettext("%(n)s subwoofer: %(type)s.", "%(n)s subwoofers: %(type)s.", count)


def where(told, x, y, tape) -> str:
    """A point in words, from the finished walls."""
    off_x, off_y = told["off_walls"]
    return _("%(x)s from the left wall, %(y)s from the door's wall") % {
        "x": tape.show(mm(x + off_x)), "y": tape.show(mm(y + off_y)),
    }  # fmt: skip


def rows_of(told, tape):
    """Each mark in words: the pictures' table."""
    off_x, off_y = told["off_walls"]
    return [
        (mark["id"], mark["type"], tape.show(mm(mark["x"] + off_x)), tape.show(mm(mark["y"] + off_y)))
        for mark in told["marks"]
    ]
