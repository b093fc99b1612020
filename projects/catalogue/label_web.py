"""Pages of a fixture's label and its maker's sheet. Door, form, service, answer."""

from django.contrib import messages
from django.http import FileResponse, Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _

from projects.catalogue import labels
from projects.catalogue.label_forms import LabelForm, SheetForm
from projects.catalogue.models import FixtureType
from projects.files import store
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion


def type_of(shop, type_id):
    record = FixtureType.objects.of(shop).filter(pk=type_id).select_related("sheet__added_by__user").first()
    if record is None:
        raise Http404
    return record


def fixture_label(request, type_id):
    """What the label says, and the sheet; what is missing of both is named."""
    record = type_of(request.shop, type_id)
    start = vars(record) | {
        "label_read_by": record.label_read_by or request.member.user.name,
        "label_read_on": record.label_read_on or timezone.localdate(),
    }
    form = LabelForm(request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            labels.say_label(record, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=record.name, back=request.path)
        messages.success(request, _("Saved."))
        return redirect("fixture_label", record.pk)
    return _page(request, record, form, SheetForm())


def add_sheet(request, type_id):
    record = type_of(request.shop, type_id)
    form = SheetForm(request.POST, request.FILES)
    if form.is_valid():
        try:
            labels.add_sheet(record, form.cleaned_data["sheet"], request.member, title=form.cleaned_data["title"])
        except store.QuotaFull as full:
            form.add_error("sheet", str(full))
        else:
            messages.success(request, _("The sheet is here. Packets made from now on take it along."))
            return redirect("fixture_label", record.pk)
    return _page(request, record, LabelForm(initial=vars(record)), form)


def _page(request, record, form, sheet_form):
    context = {"record": record, "form": form, "sheet_form": sheet_form, "facts": labels.facts_of(record)}
    status = 422 if form.errors or sheet_form.errors else 200
    return render(request, "catalogue/fixture_label.html", context, status=status)


def sheet_file(request, type_id):
    """To be saved, never shown in the page: it is another's document."""
    record = type_of(request.shop, type_id)
    sheet = getattr(record, "sheet", None)
    if sheet is None or not store.path_of(sheet.shop_id, sheet.file).exists():
        messages.error(request, _("There is no sheet here yet. Hand it in below."))
        return redirect("fixture_label", record.pk)
    content = store.path_of(sheet.shop_id, sheet.file).open("rb")
    name = f"{slugify(record.name) or 'sheet'}.pdf"
    return FileResponse(content, as_attachment=True, filename=name, content_type="application/pdf")


def remove_sheet(request, type_id):
    record = type_of(request.shop, type_id)
    if labels.remove_sheet(record):
        messages.success(request, _("The sheet is gone. Packets name it as missing."))
    else:
        messages.error(request, _("There is no sheet to take away."))
    return redirect("fixture_label", record.pk)
