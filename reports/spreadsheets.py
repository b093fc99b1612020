"""Rows as CSV, TSV, XLSX and JSON. Knows no takeoff: columns with a name and a kind, and rows by those names.

What people wrote can start with = or look like a date. In CSV and TSV such a text is led by one apostrophe, and so is a
text that starts with an apostrophe itself: a reader takes one apostrophe off and has exactly what was written
(`unguarded`). Numbers are never guarded. In XLSX cells are typed: text stays text and needs no guard.
"""

import csv
import io
import json
import re
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

GUARD = "'"
PLACES = Decimal("0.000001")  # a third of a foot is told to six places; exact values are in JSON and over the API
MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
STARTS = re.compile(r"\s*[=+\-@|\t\r\n\0\uff1d\uff0b\uff0d\uff20]")  # the wide = + - @ too: some read them the same
TAKEN = re.compile(
    r"\s*(?:[\d.,/:\s%$()\-]*\d[\d.,/:\s%$()\-]*"  # 3-4, 1/2, 0012, 12:30, 1,000
    r"|\d+(?:\.\d*)?e[+-]?\d+"  # 1e5
    rf"|(?:\d{{1,4}}[-/. ]*)?{MONTH}(?:[-/., ]*\d{{1,4}})*"  # Mar-4, 4 March
    r"|\d{1,2}(?::\d\d)?\s*[ap]m?"  # 4 pm
    r"|true|false|nan|inf(?:inity)?)\s*",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet. sums: columns whose last row adds them up. from_cells: column -> the columns it is the sum of.

    looked_up: column -> (sheet, column to add, column both sheets are matched by).
    """

    name: str
    columns: tuple
    rows: tuple
    sums: tuple[str, ...] = ()
    from_cells: dict[str, tuple[str, ...]] = field(default_factory=dict)
    looked_up: dict[str, tuple[str, str, str]] = field(default_factory=dict)


def guarded(text):
    """The text as a CSV or TSV cell that no spreadsheet takes for a formula, a number or a date."""
    return GUARD + text if text.startswith(GUARD) or STARTS.match(text) or TAKEN.fullmatch(text) else text


def unguarded(cell):
    """What was written, from a cell of ours."""
    return cell.removeprefix(GUARD)


def plain(value):
    """A cell's value as text: numbers raw, without signs of money or thousands."""
    if value is None:
        return ""
    if isinstance(value, str):
        return guarded(value)
    return number(value)


def number(value):
    """12, 139.333333, 0.5: a number without trailing zeros, money with its cents."""
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, Fraction):
        rounded = (Decimal(value.numerator) / Decimal(value.denominator)).quantize(PLACES, ROUND_HALF_UP)
        text = f"{rounded:f}"
        return text.rstrip("0").rstrip(".") if "." in text else text
    return str(value)


def csv_bytes(columns, rows, *, bom=False):
    """UTF-8, header in the first row, lines end in CR LF (RFC 4180). bom: for spreadsheets that need telling."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([column.name for column in columns])
    writer.writerows([plain(row[column.name]) for column in columns] for row in rows)
    return out.getvalue().encode("utf-8-sig" if bom else "utf-8")


def tsv_text(columns, rows):
    """For pasting: a tab between cells, a line feed between rows, none of either inside a cell.

    A text that begins with a double quote is guarded too: pasted, it would take in the cells up to the next one.
    """
    lines = ["\t".join(column.name for column in columns)]
    lines += ["\t".join(_pasted(row[column.name]) for column in columns) for row in rows]
    return "\n".join(lines) + "\n"


def json_bytes(columns, rows, **told):
    """{"columns": [...], "rows": [...]}: text as written, numbers as numbers, fractions as text where they aren't whole
    decimals.
    """
    body = {
        **told,
        "columns": [column.name for column in columns],
        "rows": [{column.name: _json(row[column.name]) for column in columns} for row in rows],
    }
    return json.dumps(body, ensure_ascii=False, indent=1).encode()


def xlsx_bytes(sheets):
    """A workbook of these sheets: typed cells, the header frozen, sums as formulas with their values."""
    import xlsxwriter  # takes a while to import, and few pages need it

    out = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(out, options) as book:
        formats = {
            "head": book.add_format({"bold": True, "bottom": 1}),
            "money": book.add_format({"num_format": "#,##0.00"}),
            "number": book.add_format({"num_format": "General"}),
            "text": book.add_format({"num_format": "@"}),
        }
        places = {sheet.name: sheet for sheet in sheets}
        for sheet in sheets:
            _write(book.add_worksheet(sheet.name), sheet, formats, places)
    return out.getvalue()


def _write(page, sheet, formats, places):
    names = [column.name for column in sheet.columns]
    page.freeze_panes(1, 0)
    for place, name in enumerate(names):
        page.write_string(0, place, name, formats["head"])
        page.set_column(place, place, min(40, max(8, len(name) + 2)))
    for down, row in enumerate(sheet.rows, 1):
        for place, column in enumerate(sheet.columns):
            _cell(page, sheet, places, names, (down, place), column, row, formats)
    page.autofilter(0, 0, max(1, len(sheet.rows)), len(names) - 1)
    last = len(sheet.rows) + 1
    if sheet.sums and sheet.rows:
        page.write_string(last, 0, "Total", formats["head"])
        for name in sheet.sums:
            place = names.index(name)
            column = _letters(place)
            value = sum((row[name] for row in sheet.rows if row[name] is not None), start=Decimal(0))
            kind = sheet.columns[place].kind
            page.write_formula(last, place, f"=SUM({column}2:{column}{last})", formats[kind], float(value))


def _cell(page, sheet, places, names, at, column, row, formats):
    value = row[column.name]
    style = formats[column.kind]
    if value is None:
        return
    if isinstance(value, str):
        page.write_string(*at, value, style)
    elif column.name in sheet.from_cells:
        cells = "+".join(f"N({_letters(names.index(name))}{at[0] + 1})" for name in sheet.from_cells[column.name])
        page.write_formula(*at, f"={cells}", style, float(value))
    elif column.name in sheet.looked_up:
        page.write_formula(*at, _sum_of(sheet, places, names, at[0], column.name), style, float(value))
    else:
        page.write_number(*at, float(value), style)


def _sum_of(sheet, places, names, down, name):
    """=SUMIFS over another sheet: what this row's figure is the sum of."""
    there, added, matched = sheet.looked_up[name]
    others = [column.name for column in places[there].columns]
    last = len(places[there].rows) + 1

    def over(column):
        letters = _letters(others.index(column))
        return f"'{there}'!${letters}$2:${letters}${last}"

    return f"=SUMIFS({over(added)},{over(matched)},{_letters(names.index(matched))}{down + 1})"


def _letters(place):
    text = ""
    place += 1
    while place:
        place, left = divmod(place - 1, 26)
        text = chr(65 + left) + text
    return text


def _json(value):
    if isinstance(value, Fraction):
        if value.denominator == 1:
            return int(value)
        return float(number(value))
    return float(value) if isinstance(value, Decimal) else value


def _pasted(value):
    text = re.sub(r"[\t\r\n]+", " ", plain(value))
    return GUARD + text if text.startswith('"') else text
