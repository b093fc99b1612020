"""How a card fills its page: what each part takes, worked out before it is laid out. Knows no HTML and no PDF.

The estimate is a little high on purpose. What a laid-out page has measured takes its place (Known).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from layout.drawing.frame import frame
from layout.drawing.text import MM_PER_POINT
from layout.drawing.text import width as bold_width
from projects.platform.languages import side_by_side
from reports.documents.head import Paper
from reports.documents.sheet import CardSheet, NumberColumn, NumberRow, in_ranges

ONE_PAGE = 20  # marks; the table of more stands overleaf
OVERLEAF = 135  # marks a page, in three blocks
SHEET_WIDE = 190  # mm between the margins, the same on both papers
SHEET_HIGH = {Paper.LETTER: 261, Paper.A4: 278}
ROW_NAMES = 24  # mm for the names at the left of the numbers
SIDE = 68  # mm for the right edge
SIDE_TEXT = 65
BIG = (40, 34, 28, 24)  # pt; 24 is the least that is read from a ladder
PENCIL_ROWS = 5
LEAST_PENCIL = 3
FEWEST_PENCIL = 2
OVERLEAF_PENCIL = 10
LEAST_PLAN = 50  # mm
TIGHT_PLAN = 40  # where a page would else be two
MOST_PLAN = 125
MOST_PLAN_BELOW = 100
PLAN_PT = 9  # the plan's numbers; the big ones stand below it
SMALL = 9 * MM_PER_POINT  # the least type, mm
NAME_PT = 24
LONG_NAME_PT = 14
PULLED_FROM = "Big numbers are from the finished wall. Pull at the bottom plate."
REGULAR = 0.93  # of a bold word's width, the same word in regular type


@dataclass(frozen=True, slots=True)
class Setting:
    """One way to fill the page.

    big: type size of the running numbers, pt. plan_high: mm. pencil: rows left for pencil.
    overleaf: the table of marks and the pencil rows go to the next page.
    wide_words: findings and cautions stand below the numbers, over the page's width, where they take fewer lines.
    beside: the right edge stands beside the plan; otherwise below it, for a plan of the page's full width.
    """

    big: int
    pencil: int = PENCIL_ROWS
    overleaf: bool = False
    beside: bool = True
    wide_words: bool = False
    plan_high: float = LEAST_PLAN

    @property
    def least_plan(self) -> float:
        return TIGHT_PLAN if self.wide_words else LEAST_PLAN

    @property
    def plan_wide(self) -> float:
        return SHEET_WIDE - (SIDE + 4 if self.beside else 0)

    def pages(self, sheet: CardSheet) -> int:
        return 1 + -(-len(sheet.marks) // OVERLEAF) if self.overleaf else 1


    def key(self, part: str) -> tuple[object, ...]:
        """What the height of a part depends on. Parts are ids of card.html: head, numbers, bottom, side."""
        return part, *{
            "head": (),
            "numbers": (self.big, self.wide_words, self.overleaf),
            "bottom": (self.pencil, self.overleaf),
            "side": (self.beside, self.wide_words, self.overleaf),
        }[part]


Known = Mapping[tuple[object, ...], float]  # Setting.key: mm measured on a laid-out page


def best(sheet: CardSheet, paper: Paper, known: Known) -> Setting:
    """The largest numbers that leave the plan enough. What no page holds has the least plan there is."""
    setting = Setting(BIG[-1], overleaf=True)
    for setting in _settings(sheet):
        parts = ("head", "numbers") if setting.overleaf else ("head", "numbers", "bottom")
        spare = SHEET_HIGH[paper] - sum(_high(part, sheet, setting, known) for part in parts)
        side = _high("side", sheet, setting, known)
        most = min(spare, MOST_PLAN) if setting.beside else min(spare - side, MOST_PLAN_BELOW)
        tall = _drawn_within(sheet, setting, most)
        enough = most >= setting.least_plan or drawn(sheet, replace(setting, plan_high=MOST_PLAN)) <= most
        if enough and drawn(sheet, tall) <= most and (side <= spare or not setting.beside):
            return tall
    return replace(setting, plan_high=LEAST_PLAN)


def _high(part: str, sheet: CardSheet, setting: Setting, known: Known) -> float:
    measured = known.get(setting.key(part))
    return estimate(part, sheet, setting) if measured is None else measured


def estimate(part: str, sheet: CardSheet, setting: Setting) -> float:
    """About how high a part of the card is, mm. See card.css for the sizes."""
    about = {"head": _head_high, "numbers": _numbers_high, "bottom": _bottom_high, "side": _side_high}
    return about[part](sheet, setting)


def _drawn_within(sheet: CardSheet, setting: Setting, most: float) -> Setting:
    """With a plan of at most this height: outlines kept apart make a drawing a little higher than asked for."""
    asked = replace(setting, plan_high=most)
    return replace(asked, plan_high=most - max(0, drawn(sheet, asked) - most + 0.1))


def drawn(sheet: CardSheet, setting: Setting) -> float:
    """How high the plan really comes out: less than it may where the room is wide, more where its numbers need it."""
    return frame(sheet.plan, setting.plan_wide, setting.plan_high, PLAN_PT).high


def _settings(sheet: CardSheet) -> Iterator[Setting]:
    """Settings to try, best first. The last ones go overleaf: a card says all it has to say, whatever it takes."""
    ways = (False, True) if sheet.plan.wide > 2 * sheet.plan.deep else (True, False)
    one_page = [Setting(big) for big in _sizes(sheet)] + [
        Setting(BIG[-1], LEAST_PENCIL),
        Setting(BIG[-1], LEAST_PENCIL, wide_words=True),
        Setting(BIG[-1], FEWEST_PENCIL, wide_words=True),
    ]
    overleaf = [Setting(big, OVERLEAF_PENCIL, overleaf=True) for big in _sizes(sheet)]
    for setting in [*(one_page if len(sheet.marks) <= ONE_PAGE else []), *overleaf]:
        for beside in ways:
            yield replace(setting, beside=beside)


def _sizes(sheet: CardSheet) -> list[int]:
    """The largest size that keeps each way on one line, then the least."""
    one_line = [big for big in BIG if all(len(lines(row, big)) <= 1 for row in (sheet.along, sheet.across))]
    return list(dict.fromkeys([*one_line[:1], BIG[-1]]))


def _side_high(sheet: CardSheet, setting: Setting) -> float:
    """About how high the edge beside the plan is, or the band below it, mm."""
    cutouts = sum(
        _text_high(f"{one.type_name} {one.size}", 9.5, SIDE_TEXT - 9) + _text_high(one.verified_by or "no", 9, 44) + 1.5
        for one in sheet.cutouts
    )
    room = [*(f"{zone.letter} {zone.what}" for zone in sheet.zones), f"Ceiling height {sheet.height}", sheet.remainder]
    said = (*sheet.wont_fit, *sheet.findings, *sheet.cautions, *_noted(sheet, setting))
    warned = [] if setting.wide_words else [f"– {text}" for text in said]
    texts = sum(_text_high(text, 9, SIDE_TEXT - 3) for text in (*room, *warned))
    sections = bool(sheet.cutouts) + 1
    if not setting.wide_words:
        sections += bool(sheet.wont_fit) + bool(sheet.findings) + bool(sheet.cautions)
        sections += 0 if setting.overleaf else len(sheet.notes)
    high = cutouts + texts + 5.3 * sections - 1.5
    return high if setting.beside else high / 3 + 8


def _noted(sheet: CardSheet, setting: Setting) -> tuple[str, ...]:
    """The notes' lines; they go overleaf with the table of marks."""
    return () if setting.overleaf else tuple(line for note in sheet.notes for line in note.lines)


def name_pt(sheet: CardSheet) -> int:
    """A room's name is as large as the revision's number; a long one keeps to a line or two."""
    return NAME_PT if width(sheet.room, NAME_PT * MM_PER_POINT) <= _who_wide(sheet) else LONG_NAME_PT


def _who_wide(sheet: CardSheet) -> float:
    return SHEET_WIDE - (60 + 4 + 23 if sheet.check_url else 70 + 4)


def _head_high(sheet: CardSheet, _setting: Setting) -> float:
    who = (
        _text_high("Mark-out card: numbers from the finished wall", 11, _who_wide(sheet))
        + _name_high(sheet)
        + _text_high(f"{sheet.level} · 30 May 2026 · {sheet.measured}", 9, _who_wide(sheet))
    )
    revision = 19 if sheet.check_url else 17
    stops = 0 if sheet.framing_checked and sheet.check.squared else 9.7
    if sheet.not_cut:
        stops += 3.7 + _text_high(f"WON'T FIT, DO NOT CUT: {sheet.not_cut}", 14, SHEET_WIDE)
    pulled = [
        8 + width(line.what, SMALL) * REGULAR + width(line.expect, 12 * MM_PER_POINT) for line in sheet.check.lines
    ]
    allowed = 3.5 + width("good within ", SMALL) * REGULAR + width(sheet.check.allowed, 12 * MM_PER_POINT)
    check = (
        _lines_filled([width("CHECK FIRST ", SMALL), *pulled, allowed], SHEET_WIDE) * 5.4
        + _text_high(f"If it fails: {sheet.check.if_it_fails}", 9, SHEET_WIDE)
        + sum(_text_high(f"Center line: {line}", 9, SHEET_WIDE) for line in sheet.center_lines)
    )
    if sheet.check.framing:
        found = [
            8 + width(line.what, SMALL) * REGULAR + width(line.expect, 12 * MM_PER_POINT)
            for line in sheet.check.framing
        ]
        differs = width(sheet.check.if_framing_differs, SMALL)
        check += _lines_filled([width("FRAMING ", SMALL), *found, differs], SHEET_WIDE) * 5.4
    zero = [*_words_wide(f"Zero: {sheet.zero}.", 14), 1.5 + width(PULLED_FROM, 11 * MM_PER_POINT) * REGULAR]
    return max(who, revision) + 2 + stops + check + 3.3 + _lines_filled(zero, SHEET_WIDE) * 14 * MM_PER_POINT * 1.25 + 3


def _name_high(sheet: CardSheet) -> float:
    """The room's name, and the job beside it where that fits."""
    size, job = name_pt(sheet) * MM_PER_POINT, f"{sheet.job_number} · {sheet.job_name}"
    beside = width(sheet.room, size) + 4 + width(job, 11 * MM_PER_POINT) <= _who_wide(sheet)
    high = _text_high(sheet.room, name_pt(sheet), _who_wide(sheet)) * 0.9
    return high if beside else high + _text_high(job, 11, _who_wide(sheet))


def _numbers_high(sheet: CardSheet, setting: Setting) -> float:
    """Both ways and the cautions below them."""
    faces = len(sheet.plan.faces) - 1
    high = 21.5
    if setting.wide_words:
        said = (*sheet.wont_fit, *sheet.findings, *sheet.cautions)
        high += _text_high(" ".join(said), 9, SHEET_WIDE) if said else 0
        noted = " ".join(f"{note.title}. {' '.join(note.lines)}" for note in sheet.notes)
        high += 0 if setting.overleaf else _text_high(noted, 9, SHEET_WIDE)
    for row in (sheet.along, sheet.across):
        for line in lines(row, setting.big):
            small = faces + len(line[0].also)
            high += setting.big * MM_PER_POINT * 1.02 + small * 3.5 + 0.5 + _ids_high(line, row, setting.big)
    return high


def _ids_high(line: Sequence[NumberColumn], row: NumberRow, big: int) -> float:
    """The IDs below a line of numbers: on one line while the page is wide enough for that."""
    numbers = [_column_wide(one, big) for one in line]
    ids = [f"{'+' * 2 * len(one.kinds)} {in_ranges(one.ids)}" for one in line]
    free = SHEET_WIDE - ROW_NAMES - _last_wide(row, big)
    if sum(max(wide, width(text, SMALL) + 3) for wide, text in zip(numbers, ids, strict=True)) <= free:
        return SMALL * 1.15
    return max(_text_high(text, 9, wide - 3) for wide, text in zip(numbers, ids, strict=True))


def _bottom_high(sheet: CardSheet, setting: Setting) -> float:
    caption = _text_high(f"Moved on site, in pencil {sheet.may_move}", 9, 85)
    return 6 + max(4 + -(-len(sheet.marks) // 2) * 3.8, caption + setting.pencil * 5.7)


def _text_high(text: str, points: float, wide: float) -> float:
    """A paragraph's height, mm: its words broken into lines."""
    return _lines_filled(_words_wide(text, points * REGULAR), wide) * points * MM_PER_POINT * 1.25


def _words_wide(text: str, points: float) -> list[float]:
    return [width(f"{word} ", points * MM_PER_POINT) for word in side_by_side(text).split()]


def width(text: str, size: float) -> float:
    """As it will be read, in one language or two."""
    return bold_width(side_by_side(text), size)


def _lines_filled(pieces: Iterable[float], wide: float) -> int:
    """How many lines pieces of these widths fill, none of them broken."""
    count, at = 0, wide
    for long in pieces:
        count, at = (count + 1, long) if at + long > wide else (count, at + long)
    return count


def lines(row: NumberRow, big: int) -> list[tuple[NumberColumn, ...]]:
    """The numbers in as few lines as hold them, each about as long as the others; last-to-wall ends the last."""
    room = SHEET_WIDE - ROW_NAMES
    wides = [_column_wide(one, big) for one in row.columns]
    last = _last_wide(row, big)
    for count in range(1, len(wides) + 1):
        each = -(-len(wides) // count)
        parts = [(wides[at : at + each], at + each >= len(wides)) for at in range(0, len(wides), each)]
        if all(sum(part) + (last if ends else 0) <= room for part, ends in parts):
            return [row.columns[at : at + each] for at in range(0, len(wides), each)]
    return [(one,) for one in row.columns]


def _column_wide(column: NumberColumn, big: int) -> float:
    small = [width(text, SMALL) + 3 for _, text in (*column.small, *column.also)]
    return max(_number_wide(column.big, big), *small, 14)


def _last_wide(row: NumberRow, big: int) -> float:
    return max(_number_wide(row.last, big), width(row.to_wall, SMALL) + 16)


def _number_wide(text: str, big: int) -> float:
    """A running number's width in mm with its fraction set small, its space at both sides included."""
    whole, _space, part = text.partition(" ") if "/" in text else (text, "", "")
    size = big * MM_PER_POINT
    small = sum(letter.isdigit() for letter in part)
    fraction = size * (0.4 * small + 0.35 + 0.5 * part.count('"')) if part else 0
    return width(whole, size) + fraction + 2.8
