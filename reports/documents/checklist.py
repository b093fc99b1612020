"""The rough-in checklist on screen and on paper: empty boxes to fill in by hand, or what was answered so far."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.template.loader import render_to_string
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from projects.catalogue.table_values import Checklist
from projects.catalogue.tables import stages
from reports.documents.head import Head
from reports.estimating.checklist import Bearing, Tailored, tailored

CONDITIONS = {
    "lights": gettext_lazy("rooms with lights"),
    "speakers": gettext_lazy("rooms with speakers"),
    "isolated": gettext_lazy("isolated ceilings"),
    "grid": gettext_lazy("grid ceilings"),
    "old_building": gettext_lazy("existing buildings from 1980 or before"),
    "fire_rated": gettext_lazy("fire-rated ceilings"),
    "attic": gettext_lazy("work from an attic"),
    "wet": gettext_lazy("places near a tub, a shower or outdoors"),
    "insulated": gettext_lazy("insulation above"),
    "sawn_joists": gettext_lazy("sawn lumber"),
    "engineered_lumber": gettext_lazy("trusses, I-joists and other engineered lumber"),
}
ONCE_PER = {"job": gettext_lazy("once for the job"), "floor": gettext_lazy("once for the floor")}


OUTCOMES = ("pass", "fail", "n-a")  # in the order of the paper's boxes


@dataclass(frozen=True, slots=True)
class Answered:
    """What was answered to an item. outcome: one of OUTCOMES; words: why, or a number or name; who, on: as printed."""

    outcome: str
    words: str
    who: str
    on: str


@dataclass(frozen=True, slots=True)
class ChecklistPaper:
    """A room's checklist ready to be drawn. known: what was entered about the room, true or false.

    answers: what was answered so far, by item number; without any the paper is filled in by hand.
    """

    head: Head
    checklist: Checklist
    known: Mapping[str, bool]
    answers: Mapping[int, Answered] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ItemRow:
    number: int
    text: str
    caution: bool
    here: bool
    note: str
    source: str
    holds: str = ""  # the hold point that waits for it
    answer: Answered | None = None

    @property
    def boxes(self) -> tuple[bool, ...]:
        """Pass, fail, n/a: which is crossed."""
        return tuple(self.answer is not None and self.answer.outcome == outcome for outcome in OUTCOMES)


@dataclass(frozen=True, slots=True)
class Group:
    name: str
    rows: tuple[ItemRow, ...]


def body(paper: ChecklistPaper) -> str:
    """The checklist as a piece of HTML: a section for a page, or for the packet."""
    items = tailored(paper.checklist.items, paper.known)
    where = _("this room") if paper.head.room else _("this job")
    return render_to_string(
        "reports/checklist.html",
        {
            "head": paper.head,
            "title": _("Rough-in checklist"),
            "groups": [_group(name, items, where, paper.answers) for name in paper.checklist.groups],
            "answered": _answered(items, paper.answers),
            "hold_points": [stage for stage in stages() if stage.hold_point],
            "closing": _(paper.checklist.closing),
            "version": paper.checklist.version,
            "bearing": _bearing(items, where),
        },
    )


def _group(name: str, items: Sequence[Tailored], where: str, answers: Mapping[int, Answered]) -> Group:
    return Group(_(name), tuple(_row(each, where, answers) for each in items if each.item.group == name))


def _answered(items: Sequence[Tailored], answers: Mapping[int, Answered]) -> str:
    """'12 answered so far: 10 pass, 1 fail, 1 n/a.' or nothing."""
    outcomes = [answers[each.item.number].outcome for each in items if each.item.number in answers]
    if not outcomes:
        return ""
    counts = {outcome: outcomes.count(outcome) for outcome in OUTCOMES}
    return _("%(all)s answered so far: %(pass)s pass, %(fail)s fail, %(n-a)s n/a.") % {"all": len(outcomes), **counts}


def _row(each: Tailored, where: str, answers: Mapping[int, Answered]) -> ItemRow:
    item = each.item
    notes = [note for note in (_turns_on(each, where), ONCE_PER.get(item.once_per)) if note]
    return ItemRow(
        number=item.number,
        text=_(item.text),
        caution=item.caution,
        here=each.bearing is not Bearing.NO,
        note="; ".join(str(note) for note in notes),
        source=item.source,
        holds=item.holds if item.holds and each.bearing is not Bearing.NO else "",
        answer=answers.get(item.number),
    )


def _turns_on(each: Tailored, where: str) -> str:
    what = _(" or ").join(str(CONDITIONS.get(condition, condition)) for condition in each.turns_on)
    if each.bearing is Bearing.ASK:
        return _("answer it for %(what)s") % {"what": what}
    if each.bearing is Bearing.NO:
        return _("for %(what)s; not %(where)s as entered") % {"what": what, "where": where}
    return ""


def _bearing(items: Sequence[Tailored], where: str) -> str:
    """'46 items: 38 bear on this room, 6 wait for a look on site, 2 do not as entered.'"""
    counts = {bearing: sum(each.bearing is bearing for each in items) for bearing in Bearing}
    parts = [
        ngettext("%(count)s bears on %(where)s", "%(count)s bear on %(where)s", counts[Bearing.YES])
        % {"count": counts[Bearing.YES], "where": where},
        ngettext("%(count)s needs a look on site", "%(count)s need a look on site", counts[Bearing.ASK])
        % {"count": counts[Bearing.ASK]},
        ngettext("%(count)s does not, as entered", "%(count)s do not, as entered", counts[Bearing.NO])
        % {"count": counts[Bearing.NO]},
    ]
    return _("%(count)s items: ") % {"count": len(items)} + ", ".join(parts) + "."
