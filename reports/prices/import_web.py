"""Pages of a price file: read it, say what its columns hold, look at the difference, apply all of it or none."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from projects.platform.names import clean_name
from reports.estimating.price_import import MEANINGS
from reports.prices import imports
from reports.prices.files import CannotRead, read_file
from reports.prices.forms import UploadForm
from reports.prices.lines import rules_for
from reports.prices.models import PriceImport

PAGE = 20
SHOWN = 200  # lines of each part of a difference; the counts are of all
WORDS = {
    "code": gettext_lazy("the code of the line"),
    "name": gettext_lazy("what it is"),
    "pack": gettext_lazy("how many, or how long, a pack is"),
    "price": gettext_lazy("the price of a pack"),
    "unit": gettext_lazy("what it is counted in"),
    "category": gettext_lazy("its group"),
    "taxable": gettext_lazy("taxable, yes or no"),
    "day": gettext_lazy("the day it holds from"),
    "source": gettext_lazy("where it is from"),
    "currency": gettext_lazy("the currency"),
}


def price_import(request):
    form = UploadForm(request.POST or None, request.FILES or None, initial={"on": timezone.localdate()})
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            sheet = read_file(file.name, file.read())
            record = imports.keep_file(
                request.shop, file_name(file.name), sheet, on=form.cleaned_data["on"],
                source=form.cleaned_data["source"], by=request.member,
            )  # fmt: skip
        except CannotRead as refused:
            form.add_error("file", str(refused))
        else:
            return redirect("price_file", record.pk)
    files = PriceImport.objects.of(request.shop).defer("rows").select_related("by__user")
    page = Paginator(files, PAGE).get_page(request.GET.get("page"))
    context = {"form": form, "page": page, "currency": request.shop.currency}
    return render(request, "prices/import.html", context, status=422 if form.errors else 200)


def file_name(name):
    try:
        return clean_name(name)[:120]
    except ValueError:
        return _("price file")
    except Exception:  # a name with hidden characters is no reason to refuse the prices
        return _("price file")


def price_file(request, import_id):
    record = imports.import_of(request.shop, import_id)
    if record.state != PriceImport.State.READ:
        if request.method == "POST":
            messages.error(request, str(imports.NotOpen()))
            return redirect("price_import")
        return render(request, "prices/file_closed.html", {"record": record})
    if request.method == "POST" and request.POST.get("do") == "drop":
        imports.drop(record)
        messages.success(request, _("Dropped. Nothing of the price list was changed."))
        return redirect("price_import")
    columns = imports.columns_of(record, request.POST if request.method == "POST" else None)
    wrong = imports.wrong_columns(columns)
    if request.method == "POST" and request.POST.get("do") == "apply" and not wrong:
        try:
            found = imports.apply(
                record, columns, rules_for(request.shop), digest=request.POST.get("digest", ""), by=request.member
            )
        except (imports.StaleDryRun, imports.HasErrors, imports.NotOpen) as refused:
            messages.error(request, str(refused))
            return _dry_run(request, record, columns, wrong, status=409)
        told = {"new": len(found.new), "changed": len(found.changed)}
        messages.success(request, _("Applied: %(new)s new prices, %(changed)s changed.") % told)
        return redirect("price_list")
    return _dry_run(request, record, columns, wrong, status=422 if wrong and request.method == "POST" else 200)


def _dry_run(request, record, columns, wrong, *, status=200):
    header, rows = imports.rows_of(record)
    found = None if wrong else imports.dry_run(record, columns, rules_for(request.shop))
    sample = [[row.cells[n] if n < len(row.cells) else "" for row in rows[:3]] for n in range(len(header))]
    choices = [(key, WORDS[key]) for key in MEANINGS]
    context = {
        "record": record,
        "wrong": wrong,
        "found": found,
        "shown": SHOWN,
        "lines": len(rows),
        "columns": [
            {"n": n, "name": name or _("column %(n)s") % {"n": n + 1}, "means": columns.get(n, ""), "sample": sample[n]}
            for n, name in enumerate(header)
        ],
        "choices": choices,
        "tape": request.shop.tape,
        "parts": _parts(found) if found else (),
        "currency": request.shop.currency,
    }
    return render(request, "prices/file.html", context, status=status)


def _parts(found):
    return (
        (_("New"), found.new[:SHOWN], len(found.new)),
        (_("Changed"), found.changed[:SHOWN], len(found.changed)),
        (_("Unchanged"), found.unchanged[:SHOWN], len(found.unchanged)),
    )
