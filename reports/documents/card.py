"""The mark-out card: a sheet's values set on one page. Must not know the database, nor how a mark was found."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime, time

from django.template.loader import render_to_string
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.drawing import Datum, Names, PlanDrawing, plan_svg, symbol_svg
from layout.drawing.words import DATUM, KIND
from layout.engine.marks import Kind, Side
from projects.platform.languages import ENGLISH, SPANISH, each_alone, printed_in, said_in_both, side_by_side
from reports.documents import card_fit as fit
from reports.documents import pdf
from reports.documents.card_fit import Setting
from reports.documents.fractions import dressed
from reports.documents.head import Paper
from reports.documents.qr import qr_svg
from reports.documents.sheet import CardSheet, MarkRow, NumberColumn, NumberRow, PullAt, in_ranges

PARTS = ("head", "numbers", "bottom", "side")
TRIES = 4
LOOSE = 8  # mm the plan may fall short of what the page would hold

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


def laid_out(sheet: CardSheet, paper: Paper = Paper.LETTER) -> pdf.LaidOut:
    """The card set on its page: as estimated, or again with what that page measured. Raises pdf.CannotPrint."""
    known: dict[tuple[object, ...], float] = {}
    sheet = replace(sheet, plan=_in_words(sheet.plan))
    setting = fit.best(sheet, paper, known)
    for _try in range(TRIES):
        card = pdf.lay_out(f"{sheet.job_number} {sheet.room}", _page(sheet, paper, setting))
        known |= {setting.key(part): card.high(part) for part in PARTS}
        wish = fit.best(sheet, paper, known)
        larger = fit.drawn(sheet, wish) - fit.drawn(sheet, setting) > LOOSE or (setting.overleaf and not wish.overleaf)
        if card.pages <= setting.pages(sheet) and not larger:
            break
        setting = wish
    return card


def _in_words(plan: PlanDrawing) -> PlanDrawing:
    """What is set in a drawing is measured as it will be read."""
    names = (side_by_side(plan.names.of(side)) for side in (Side.DOOR, Side.LEFT, Side.FAR, Side.RIGHT))
    return replace(plan, names=Names(*names), door_name=side_by_side(plan.door_name), title=side_by_side(plan.title))


def card_pdf(sheet: CardSheet, paper: Paper = Paper.LETTER) -> bytes:
    """The card on paper: the same bytes for the same sheet. Raises pdf.CannotPrint.

    In two languages it stands side by side where one page holds it, else on a sheet in each, and they say so.
    """
    card = laid_out(sheet, paper)
    if card.pages == 1 or not said_in_both(sheet):
        return written(sheet, card, paper)
    return _written([laid_out(one, paper) for one in in_each_language(sheet)], sheet, paper)


def in_each_language(sheet: CardSheet) -> Iterator[CardSheet]:
    """The sheet in English, then in Spanish; each is set while this stands in its language."""
    for language, one in zip((ENGLISH, SPANISH), each_alone(sheet), strict=True):
        with printed_in(language):
            also = gettext_lazy("This card is one sheet in English and one in Spanish: one page does not hold both.")
            yield replace(one, also=str(also))


def written(sheet: CardSheet, card: pdf.LaidOut, paper: Paper) -> bytes:
    """A card that is set already, as its own PDF. Raises pdf.CannotPrint."""
    return _written([card], sheet, paper)


def _written(cards: Sequence[pdf.LaidOut], sheet: CardSheet, paper: Paper) -> bytes:
    created = datetime.combine(sheet.on, time(), UTC)
    identifier = f"card {sheet.job_number} {sheet.room} {sheet.revision} {sheet.hash} {paper} {sheet.zero}"
    return pdf.write(cards, identifier=identifier, created=created)


def card_picture(sheet: CardSheet, paper: Paper = Paper.LETTER) -> bytes:
    """One clear PNG to send to a phone: page one, with the revision and the date in it as on paper."""
    card = laid_out(sheet, paper)
    if card.pages > 1 and said_in_both(sheet):
        raise pdf.CannotPrint(_("One picture does not hold both languages. Send it in one of them, then in the other."))
    return pdf.picture(written(sheet, card, paper))


def _page(sheet: CardSheet, paper: Paper, setting: Setting) -> str:
    drawing = plan_svg(
        replace(sheet.plan, key="card"),
        width_mm=setting.plan_wide,
        height_mm=setting.plan_high,
        number_pt=fit.PLAN_PT,
        interactive=False,
    )
    block = -(-len(sheet.marks) // (3 if setting.overleaf else 2)) or 1
    return render_to_string(
        "reports/card.html",
        {
            "sheet": sheet,
            "paper": paper,
            "setting": setting,
            "name_pt": fit.name_pt(sheet),
            "plan": _picture(drawing, sheet.plan.title),
            "face": DATUM[sheet.datum],
            "pull_at": PULL_AT[sheet.pull_at],
            "checks": [(line.what, dressed(line.expect)) for line in sheet.check.lines],
            "allowed": dressed(sheet.check.allowed),
            "framing": [(line.what, dressed(line.expect)) for line in sheet.check.framing],
            "rows": [
                _number_row(_("Along"), sheet.along, sheet, setting),
                _number_row(_("Across"), sheet.across, sheet, setting),
            ],
            "cutouts": [(one, _symbol(one.kind), dressed(one.size)) for one in sheet.cutouts],
            "cautions": CAUTIONS,
            "mark_blocks": [_mark_block(sheet.marks[at : at + block]) for at in range(0, len(sheet.marks), block)],
            "pencil_rows": range(setting.pencil),
            "qr": qr_svg(sheet.check_url, _("Is this card still right?")) if sheet.check_url else "",
        },
    )


def _mark_block(marks: Sequence[MarkRow]) -> list[tuple[str, str, str, str]]:
    return [(one.id, _symbol(one.kind), dressed(one.along), dressed(one.across)) for one in marks]


def _symbol(kind: Kind) -> str:
    return _picture(symbol_svg(kind, str(KIND[kind]), "symbol"), str(KIND[kind]))


def _picture(svg: str, words: str) -> str:
    """A drawing as an image: the page's parser and styles would otherwise go through every line of it."""
    data = b64encode(side_by_side(svg).encode()).decode()
    return format_html('<img alt="{}" src="data:image/svg+xml;base64,{}">', words, data)


def _number_row(title: str, row: NumberRow, sheet: CardSheet, setting: Setting) -> dict[str, object]:
    """One way's numbers as the template sets them: lines of columns, the other faces named once at the left."""
    others = [face for face in sheet.plan.faces if face is not sheet.datum]
    lines = fit.lines(row, setting.big)
    return {
        "title": title,
        "row": row,
        "last": dressed(row.last),
        "lines": [
            {
                "others": [
                    *((DATUM[face], [_small(one, face) for one in line]) for face in others),
                    *((name, [dressed(dict(one.also)[name]) for one in line]) for name, _text in line[0].also),
                ],
                "columns": [
                    (dressed(one.big), [_symbol(kind) for kind in one.kinds], in_ranges(one.ids)) for one in line
                ],
                "is_last": at == len(lines) - 1,
                "rows": len(others) + len(line[0].also) + 2,
            }
            for at, line in enumerate(lines)
        ],
    }


def _small(column: NumberColumn, face: Datum) -> str:
    return next((dressed(text) for one, text in column.small if one is face), "")
