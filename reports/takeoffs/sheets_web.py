"""A takeoff as a file: CSV, TSV, XLSX or JSON, as it is or as it was kept. Prices only for those who may see them."""

from dataclasses import replace

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.utils.text import slugify
from django.utils.translation import gettext as _

from projects.platform.permissions import may
from reports import spreadsheets
from reports.estimating.sheet_rows import ADDED, columns, item_rows, room_rows
from reports.spreadsheets import Sheet
from reports.takeoffs.counting import MOST_FOR_A_PAGE, count_job, rooms_of
from reports.takeoffs.purchase import packs_of
from reports.takeoffs.rules import read_rules, rules_of
from reports.takeoffs.services import priced_now, takeoff_now, thaw
from reports.takeoffs.web import counted, kept_of

KINDS = {
    "csv": "text/csv; charset=utf-8",
    "tsv": "text/tab-separated-values; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "json": "application/json",
}
MOST_ROOMS = 1500  # in one sheet, line by line
MONEY_SUMS = ("ext_cost", "tax", "hours", "labor_cost", "ext_total")


@counted
def takeoff_sheet(request, job, form):
    """?takeoff=3: that kept one; else now. ?rows=items: over the job; else room by room. ?bom=1: CSV with a mark."""
    if form not in KINDS:
        raise Http404
    by_item = request.GET.get("rows") == "items"
    if rooms_of(job).count() > MOST_ROOMS and (form == "xlsx" or not by_item):
        words = _("A sheet takes %(most)s rooms line by line. Take the CSV item by item.")
        messages.error(request, words % {"most": MOST_ROOMS})
        return redirect("job_takeoff", job.pk)
    content = sheet(
        job,
        form,
        office=may(request.member, "see prices"),
        taken=request.GET.get("takeoff", ""),
        by_item=by_item,
        bom=request.GET.get("bom") == "1",
    )
    answer = HttpResponse(content, content_type=KINDS[form])
    how = "inline" if form == "tsv" else "attachment"
    answer["Content-Disposition"] = f'{how}; filename="{slugify(f"{job.number} takeoff") or "takeoff"}.{form}"'
    return answer


def sheet(job, form, *, office, taken="", by_item=False, bom=False):
    """The file's bytes. Raises Http404 for a kept takeoff that isn't there."""
    takeoff, rules = _taken(job, taken, office)
    packs = {line.key: packs_of(line, rules, takeoff.unit) for line in takeoff.job.lines}
    stages = dict(job.rooms.values_list("pk", "stage"))
    cols = columns(office=office)
    rooms = room_rows(takeoff, office=office, stages=stages)
    if form == "xlsx":
        items = item_rows(takeoff, office=office, packs=packs)
        return spreadsheets.xlsx_bytes(_book(cols, rooms, items, office))
    rows = item_rows(takeoff, office=office, packs=packs) if by_item else rooms
    if form == "csv":
        return spreadsheets.csv_bytes(cols, rows, bom=bom)
    if form == "tsv":
        return spreadsheets.tsv_text(cols, rows)
    return spreadsheets.json_bytes(cols, rows, rules=takeoff.rules_version, counted=list(takeoff.job.counted))


def _taken(job, asked, office):
    if not asked or asked == "now":
        taken = takeoff_now(job, counted=count_job(job, at_most=MOST_FOR_A_PAGE))
        if office:
            taken = replace(taken, priced=priced_now(job, taken))
        return taken, rules_of(job.shop)
    if not (asked.isascii() and asked.isdecimal() and len(asked) < 6):
        raise Http404
    record = kept_of(job, int(asked))
    return thaw(record, prices=office), read_rules(record.rules)


def _book(cols, rooms, items, office):
    """Two sheets. An item's quantity is the sum of its rooms on the other sheet; totals are sums of the cells shown."""
    sums = MONEY_SUMS if office else ()
    added = {"ext_total": ADDED} if office else {}
    return [
        Sheet("Items", cols, items, sums, added, {"qty_gross": ("Rooms", "qty_gross", "item_code")}),
        Sheet("Rooms", cols, rooms, sums, added),
    ]
