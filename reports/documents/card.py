"""The mark-out card: a sheet's values set on one page. Must not know the database, nor how a mark was found."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time

from django.template.loader import render_to_string
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.drawing import Datum, plan_svg, symbol_svg
from layout.drawing.text import MM_PER_POINT, width
from layout.drawing.words import DATUM, KIND
from layout.engine.marks import Kind
from reports.documents import pdf
from reports.documents.fractions import dressed
from reports.documents.head import Paper
from reports.documents.qr import qr_svg
from reports.documents.sheet import (
    CardSheet,
    MarkRow,
    NumberColumn,
    NumberRow,
    PullAt,
    columns_apart,
    in_ranges,
)

ONE_PAGE = 20  # marks; more flow to a second page
SHEET_WIDE = 190  # mm between the margins, the same on both papers
SHEET_HIGH = {Paper.LETTER: 258, Paper.A4: 275}
ROW_NAMES = 24  # mm for the names at the left of the numbers
SIDE = 56  # mm for the right edge
BIG = (40, 34, 28, 24)  # pt; 24 is the least that is read from a ladder
PENCIL_ROWS = 5
PLAN_PT = 9  # the plan's numbers; the big ones stand below it

PULL_AT = {
    PullAt.BOTTOM_PLATE: gettext_lazy("bottom plate"),
    PullAt.TOP_PLATE: gettext_lazy("top plate"),
    PullAt.FINISHED_FACE: gettext_lazy("finished face, at the ceiling"),
}
CAUTIONS = (
    gettext_lazy("Wires, pipes, ducts: look above before you cut."),
    gettext_lazy("Power off and tested dead before wiring. Local code and the licensed trade decide."),
    gettext_lazy("Fire-rated ceiling, or dust from an old house: stop and ask."),
    gettext_lazy("Ladder on firm floor. Eyes and lungs covered when cutting."),
)


@dataclass(frozen=True, slots=True)
class Setting:
    """One way to fill the page. big: type size of the running numbers, pt. plan_high: mm."""

    big: int
    plan_high: float
    beside: bool  # the right edge stands beside the plan; otherwise below it, for a plan of the page's full width


def card_html(sheet: CardSheet, paper: Paper = Paper.LETTER) -> str:
    """The card as a whole HTML page for print: the largest setting that keeps to its pages."""
    pages = 1 if len(sheet.marks) <= ONE_PAGE else 2
    html = ""
    for setting in _settings(sheet, paper):
        html = _page(sheet, paper, setting)
        if pdf.page_count(html) <= pages:
            break
    return html


def card_pdf(sheet: CardSheet, paper: Paper = Paper.LETTER) -> bytes:
    """The card on paper: the same bytes for the same sheet. Raises pdf.CannotPrint."""
    name = f"{sheet.job_number} {sheet.room}"
    created = datetime.combine(sheet.on, time(), UTC)
    identifier = f"card {sheet.job_number} {sheet.room} {sheet.revision} {sheet.hash} {paper}"
    return pdf.render({name: card_html(sheet, paper)}, identifier=identifier, created=created)


def card_picture(sheet: CardSheet, paper: Paper = Paper.LETTER) -> bytes:
    """One clear PNG to send to a phone: page one, with the revision and the date in it as on paper."""
    return pdf.picture(card_pdf(sheet, paper))


def _settings(sheet: CardSheet, paper: Paper) -> Iterator[Setting]:
    """Settings to try, best first."""
    wide_room = sheet.plan.wide > 2 * sheet.plan.deep
    for big in _sizes(sheet):
        spare = SHEET_HIGH[paper] - _height_without_plan(sheet, big)
        if wide_room:
            yield Setting(big, min(100, max(spare - 42, 62)), beside=False)
        for less in (0, 8, 18):
            yield Setting(big, min(120, max(spare - less, 58)), beside=True)


def _sizes(sheet: CardSheet) -> list[int]:
    """The largest size that keeps each way on one line, then the least."""
    one_line = [big for big in BIG if all(_at_once(row, big) > len(row.columns) for row in (sheet.along, sheet.across))]
    return list(dict.fromkeys([*one_line[:1], BIG[-1]]))


def _number_wide(text: str, big: int) -> float:
    """A running number's width in mm with its fraction set small, its space at both sides included."""
    whole, _space, part = text.partition(" ") if "/" in text else (text, "", "")
    size = big * MM_PER_POINT
    small = sum(letter.isdigit() for letter in part)
    return width(whole, size) + (size * (0.43 * small + 0.4 + 0.56 * part.count('"')) if part else 0) + 3


def _at_once(row: NumberRow, big: int) -> int:
    """How many numbers stand side by side; the last-to-wall number counts as one."""
    widest = max((_number_wide(text, big) for text in (*(one.big for one in row.columns), row.last)), default=1)
    return max(2, int((SHEET_WIDE - ROW_NAMES) / widest))


def _lines(row: NumberRow, big: int) -> list[tuple[NumberColumn, ...]]:
    """The numbers in lines, leaving a place for last-to-wall at the end of each."""
    return columns_apart(row.columns, _at_once(row, big) - 1)


def _height_without_plan(sheet: CardSheet, big: int) -> float:
    """An estimate in mm of all that stands above and below the plan."""
    faces = len(sheet.plan.faces) - 1
    lines = sum(len(_lines(row, big)) for row in (sheet.along, sheet.across))
    stops = 10 * (not sheet.framing_checked) + 10 * (not sheet.check.squared)
    rows = -(-len(sheet.marks) // 2) if len(sheet.marks) <= ONE_PAGE else 0
    bottom = max(rows * 3.8, PENCIL_ROWS * 5.7) + 9
    more = 4 * len(sheet.center_lines)
    return 75 + more + stops + lines * (big * MM_PER_POINT * 1.02 + faces * 3.5 + 4.5) + 10 + bottom


def _page(sheet: CardSheet, paper: Paper, setting: Setting) -> str:
    wide = SHEET_WIDE - (SIDE + 4 if setting.beside else 0)
    drawing = plan_svg(
        replace(sheet.plan, key="card"), width_mm=wide, height_mm=setting.plan_high, number_pt=PLAN_PT, interactive=False
    )
    once = len(sheet.marks) <= ONE_PAGE
    half = -(-len(sheet.marks) // (2 if once else 4))
    return render_to_string(
        "reports/card.html",
        {
            "sheet": sheet,
            "paper": paper,
            "setting": setting,
            "one_page": once,
            "plan_high": int(setting.plan_high),
            "plan": mark_safe(drawing),
            "face": DATUM[sheet.datum],
            "pull_at": PULL_AT[sheet.pull_at],
            "checks": [(line.what, dressed(line.expect)) for line in sheet.check.lines],
            "allowed": dressed(sheet.check.allowed),
            "rows": [
                _number_row(_("Along"), sheet.along, sheet, setting),
                _number_row(_("Across"), sheet.across, sheet, setting),
            ],
            "cutouts": [
                (one, _symbol(one.kind, f"cutout-{number}"), dressed(one.size))
                for number, one in enumerate(sheet.cutouts)
            ],
            "cautions": CAUTIONS,
            "mark_blocks": [_mark_block(sheet.marks[at : at + half]) for at in range(0, len(sheet.marks), half or 1)],
            "pencil_rows": range(PENCIL_ROWS),
            "qr": qr_svg(sheet.check_url, _("Is this card still right?")) if sheet.check_url else "",
        },
    )


def _mark_block(marks: Sequence[MarkRow]) -> list[tuple[str, str, str, str]]:
    return [(one.id, _symbol(one.kind, f"mark-{one.id}"), dressed(one.along), dressed(one.across)) for one in marks]


def _symbol(kind: Kind, key: str) -> str:
    return mark_safe(symbol_svg(kind, str(KIND[kind]), key))


def _number_row(title: str, row: NumberRow, sheet: CardSheet, setting: Setting) -> dict[str, object]:
    """One way's numbers as the template sets them: lines of columns, the other faces named once at the left."""
    others = [face for face in sheet.plan.faces if face is not sheet.datum]
    lines = _lines(row, setting.big)
    return {
        "title": title,
        "row": row,
        "last": dressed(row.last),
        "lines": [
            {
                "others": [(DATUM[face], [_small(one, face) for one in line]) for face in others],
                "columns": [
                    (
                        dressed(one.big),
                        [_symbol(kind, f"{title}-{at}-{place}-{kind}") for kind in one.kinds],
                        in_ranges(one.ids),
                    )
                    for place, one in enumerate(line)
                ],
                "is_last": at == len(lines) - 1,
                "rows": len(others) + 2,
            }
            for at, line in enumerate(lines)
        ],
    }


def _small(column: NumberColumn, face: Datum) -> str:
    return next((dressed(text) for one, text in column.small if one is face), "")
