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
    in_ranges,
)

ONE_PAGE = 20  # marks; the table of more stands overleaf
OVERLEAF = 180  # marks a page
SHEET_WIDE = 190  # mm between the margins, the same on both papers
SHEET_HIGH = {Paper.LETTER: 258, Paper.A4: 275}
ROW_NAMES = 24  # mm for the names at the left of the numbers
SIDE = 56  # mm for the right edge
BIG = (40, 34, 28, 24)  # pt; 24 is the least that is read from a ladder
PENCIL_ROWS = 5
LEAST_PENCIL = 3
OVERLEAF_PENCIL = 10
LEAST_PLAN = 64  # mm
PLAN_PT = 9  # the plan's numbers; the big ones stand below it

PULL_AT = {
    PullAt.BOTTOM_PLATE: gettext_lazy("bottom plate"),
    PullAt.TOP_PLATE: gettext_lazy("top plate"),
    PullAt.FINISHED_FACE: gettext_lazy("finished face, at the ceiling"),
}
CAUTIONS = (
    gettext_lazy("Look above for wires, pipes and ducts before you cut."),
    gettext_lazy("Power off and tested dead before wiring; local code and the licensed trade decide."),
    gettext_lazy("Fire-rated ceiling, old house: stop and ask."),
    gettext_lazy("Firm ladder; eyes and lungs covered."),
)


@dataclass(frozen=True, slots=True)
class Setting:
    """One way to fill the page.

    big: type size of the running numbers, pt. plan_high: mm. pencil: rows left for pencil.
    overleaf: the table of marks and the pencil rows go to the next page.
    beside: the right edge stands beside the plan; otherwise below it, for a plan of the page's full width.
    """

    big: int
    plan_high: float
    pencil: int = PENCIL_ROWS
    overleaf: bool = False
    beside: bool = True


def card_html(sheet: CardSheet, paper: Paper = Paper.LETTER) -> str:
    """The card as a whole HTML page for print: the largest setting that keeps to its pages."""
    html = ""
    for setting in _settings(sheet, paper):
        html = _page(sheet, paper, setting)
        if pdf.page_count(html) <= (1 + -(-len(sheet.marks) // OVERLEAF) if setting.overleaf else 1):
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
    """Settings to try, best first. The last ones go overleaf: a card says all it has to say, whatever it takes."""
    if len(sheet.marks) <= ONE_PAGE:
        for big in _sizes(sheet):
            yield from _plan_sizes(sheet, Setting(big, _spare(sheet, paper, big, overleaf=False)))
        yield Setting(BIG[-1], LEAST_PLAN, LEAST_PENCIL)
    for big in _sizes(sheet):
        spare = _spare(sheet, paper, big, overleaf=True)
        yield from _plan_sizes(sheet, Setting(big, spare, OVERLEAF_PENCIL, overleaf=True))


def _plan_sizes(sheet: CardSheet, setting: Setting) -> Iterator[Setting]:
    """The same setting with its plan as high as the page should allow, then less."""
    spare = setting.plan_high
    if sheet.plan.wide > 2 * sheet.plan.deep:
        yield replace(setting, plan_high=min(100, max(spare - 30, LEAST_PLAN)), beside=False)
    for less in (0, 7, 14):
        yield replace(setting, plan_high=min(125, max(spare - less, LEAST_PLAN)))


def _spare(sheet: CardSheet, paper: Paper, big: int, *, overleaf: bool) -> float:
    """About how much of the page's height is left for the plan, mm."""
    faces = len(sheet.plan.faces) - 1
    lines = sum(len(_lines(row, big)) for row in (sheet.along, sheet.across))
    stops = 10 * (not sheet.framing_checked) + 10 * (not sheet.check.squared)
    head = 68 + 4 * len(sheet.center_lines) + stops
    numbers = 10 + lines * (big * MM_PER_POINT * 1.02 + faces * 3.5 + 4.5)
    bottom = 0 if overleaf else 9 + max(-(-len(sheet.marks) // 2) * 3.8, PENCIL_ROWS * 5.7)
    return SHEET_HIGH[paper] - head - numbers - bottom


def _sizes(sheet: CardSheet) -> list[int]:
    """The largest size that keeps each way on one line, then the least."""
    one_line = [big for big in BIG if all(len(_lines(row, big)) <= 1 for row in (sheet.along, sheet.across))]
    return list(dict.fromkeys([*one_line[:1], BIG[-1]]))


def _number_wide(text: str, big: int) -> float:
    """A running number's width in mm with its fraction set small, its space at both sides included."""
    whole, _space, part = text.partition(" ") if "/" in text else (text, "", "")
    size = big * MM_PER_POINT
    small = sum(letter.isdigit() for letter in part)
    fraction = size * (0.4 * small + 0.35 + 0.5 * part.count('"')) if part else 0
    return width(whole, size) + fraction + 2.8


def _lines(row: NumberRow, big: int) -> list[tuple[NumberColumn, ...]]:
    """The numbers in as few lines as hold them, each about as long as the others; last-to-wall ends the last."""
    room = SHEET_WIDE - ROW_NAMES
    least = 9 * MM_PER_POINT
    wides = [
        max(_number_wide(one.big, big), *(width(text, least) + 3 for _, text in one.small), 14) for one in row.columns
    ]
    last = max(_number_wide(row.last, big), width(row.to_wall, least) + 16)
    for count in range(1, len(wides) + 1):
        each = -(-len(wides) // count)
        lines = [(wides[at : at + each], at + each >= len(wides)) for at in range(0, len(wides), each)]
        if all(sum(line) + (last if ends else 0) <= room for line, ends in lines):
            return [row.columns[at : at + each] for at in range(0, len(wides), each)]
    return [(one,) for one in row.columns]


def _page(sheet: CardSheet, paper: Paper, setting: Setting) -> str:
    wide = SHEET_WIDE - (SIDE + 4 if setting.beside else 0)
    drawing = plan_svg(
        replace(sheet.plan, key="card"),
        width_mm=wide,
        height_mm=setting.plan_high,
        number_pt=PLAN_PT,
        interactive=False,
    )
    block = -(-len(sheet.marks) // (4 if setting.overleaf else 2)) or 1
    return render_to_string(
        "reports/card.html",
        {
            "sheet": sheet,
            "paper": paper,
            "setting": setting,
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
            "mark_blocks": [
                _mark_block(sheet.marks[at : at + block]) for at in range(0, len(sheet.marks), block)
            ],
            "pencil_rows": range(setting.pencil),
            "qr": qr_svg(sheet.check_url, _("Is this card still right?")) if sheet.check_url else "",
        },
    )


def _mark_block(marks: Sequence[MarkRow]) -> list[tuple[str, str, str, str]]:
    return [
        (one.id, _symbol(one.kind, f"mark-{one.id}"), dressed(one.along), dressed(one.across)) for one in marks
    ]


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
