"""Pages of light in the catalog: levels the shop lights to, and photometric files with their curves."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _

from layout.engine.light.values import LightError
from projects.catalogue import light_showing, photometric, targets
from projects.catalogue.light_forms import (
    ChangeFileForm,
    ChangeTargetForm,
    LightTargetForm,
    PhotometricFileForm,
    mark_of,
)
from projects.catalogue.models import PhotometricFile
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion

PAGE = 100
SHOWN_TEXT = 200_000  # of a refused file: put into the box, so that it can be mended there
TYPES_SHOWN = 60

# Levels


def light_targets(request):
    form = LightTargetForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            record = targets.add_target(request.shop, **form.cleaned_data)
        except targets.KeyTaken:
            form.add_error("space", _("There is a level of this name. Change that one, or give a different name."))
        else:
            messages.success(request, _("%(name)s is among the levels.") % {"name": record})
            return redirect("light_targets")
    page = Paginator(targets.targets_of(request.shop), PAGE).get_page(request.GET.get("page"))
    context = {"form": form, "page": page}
    return render(request, "catalogue/light_targets.html", context, status=422 if form.errors else 200)


def light_target(request, target_key):
    record = _target_of(request.shop, target_key)
    form = ChangeTargetForm(request.POST or None, initial=vars(record))
    if request.method == "POST" and form.is_valid():
        try:
            targets.change_target(record, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=str(record), back=request.path)
        messages.success(request, _("Saved. Rooms that light to it are told by the new level."))
        return redirect("light_targets")
    context = {"form": form, "target": targets.target_of(request.shop, target_key)}
    return render(request, "catalogue/light_target.html", context, status=422 if form.errors else 200)


def put_back_target(request, target_key):
    record = _target_of(request.shop, target_key)
    if targets.put_back(request.shop, record.key):
        messages.success(request, _("Put back: the level is the table's own again."))
    else:
        messages.error(request, _("There is nothing to put back: nobody changed it, or it is the shop's own."))
    return redirect("light_target", record.key)


def _target_of(shop, key):
    record = targets.record_of(shop, key)
    if record is None:
        raise Http404
    return record


# Photometric files


def photometric_files(request):
    form = PhotometricFileForm(request.POST or None, request.FILES or None)
    refused = None
    if request.method == "POST" and form.is_valid():
        text = None
        try:
            text, called = _given(form.cleaned_data)
            record = photometric.keep_file(request.shop, text, name=form.cleaned_data["name"], file_name=called)
        except photometric.AlreadyKept as kept:
            messages.info(request, _("The shop has this very file already. Here it is."))
            return redirect("photometric_file", kept.record.pk)
        except LightError as error:
            form.add_error("text" if form.cleaned_data["file"] is None else "file", str(error))
            refused = light_showing.refusal(error, text)
            _keep_typed(form, text)
        else:
            messages.success(request, _("%(name)s is kept. Choose it on the types that use it.") % {"name": record})
            return redirect("photometric_file", record.pk)
    rows = PhotometricFile.objects.of(request.shop).defer("text")
    page = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    context = {"form": form, "page": page, "refused": refused}
    return render(request, "catalogue/photometric_files.html", context, status=422 if form.errors else 200)


def photometric_file(request, file_id):
    record = _file_of(request.shop, file_id)
    form = ChangeFileForm(request.POST or None, initial=vars(record))
    if request.method == "POST" and form.is_valid():
        try:
            photometric.change_file(record, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=str(record), back=request.path)
        messages.success(request, _("Saved."))
        return redirect("photometric_file", record.pk)
    users = list(record.fixture_types.all()[: TYPES_SHOWN + 1])
    context = {
        "form": form,
        "record": record,
        "shown": light_showing.file_shown(record),
        "types": users[:TYPES_SHOWN],
        "more_types": len(users) > TYPES_SHOWN,
    }
    return render(request, "catalogue/photometric_file.html", context, status=422 if form.errors else 200)


def photometric_text(request, file_id):
    """The file as it was given, to be saved: never shown by the browser, whatever is in it."""
    record = _file_of(request.shop, file_id)
    answer = HttpResponse(record.text, content_type="text/plain; charset=utf-8")
    answer["Content-Disposition"] = content_disposition_header(True, photometric.download_name(record))
    answer["X-Content-Type-Options"] = "nosniff"
    return answer


def _file_of(shop, file_id):
    record = PhotometricFile.objects.of(shop).filter(pk=file_id).first()
    if record is None:
        raise Http404
    return record


def _given(data):
    file = data["file"]
    if file is None:
        return data["text"], ""
    return photometric.text_of(file.read(photometric.MOST_BYTES + 1)), file.name


def _keep_typed(form, text):
    """A browser forgets which file was chosen: its text stands in the box instead."""
    if form.cleaned_data.get("file") is None and not form.data.get("text") and text and len(text) <= SHOWN_TEXT:
        form.data = form.data.copy()
        form.data["text"], form.data["refused"] = text, mark_of(text)
