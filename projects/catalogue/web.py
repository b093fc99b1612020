"""Pages of the catalog: which holes the shop cuts."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.catalogue import services
from projects.catalogue.forms import (
    ChangeControlForm,
    ChangeTypeForm,
    ControlTypeForm,
    FixtureTypeForm,
    VerifyForm,
    start_of_type,
)
from projects.catalogue.light_showing import type_shown
from projects.catalogue.models import ControlType, FixtureType
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion

PAGE = 100


def _type_of(shop, type_id):
    record = FixtureType.objects.of(shop).filter(pk=type_id).select_related("photometric").first()
    if record is None:
        raise Http404
    return record


def fixture_types(request):
    form = FixtureTypeForm(request.POST or None, tape=request.shop.tape, shop=request.shop)
    if request.method == "POST" and form.is_valid():
        try:
            record = services.add_type(request.shop, **form.cleaned_data)
        except services.KeyTaken:
            form.add_error("name", _("The catalog already has this name. Give a different one."))
        else:
            messages.success(
                request, _("%(name)s is in the catalog. Verify its cutout before anyone cuts.") % {"name": record}
            )
            return redirect("fixture_type", record.pk)
    page = Paginator(FixtureType.objects.of(request.shop), PAGE).get_page(request.GET.get("page"))
    context = {"form": form, "page": page, "tape": request.shop.tape}
    return render(request, "catalogue/fixture_types.html", context, status=422 if form.errors else 200)


def fixture_type(request, type_id):
    record = _type_of(request.shop, type_id)
    tape = request.shop.tape
    form = ChangeTypeForm(request.POST or None, tape=tape, shop=request.shop, initial=start_of_type(record))
    if request.method == "POST" and form.is_valid():
        changes = {name: value for name, value in form.cleaned_data.items() if name != "version"}
        try:
            services.change_type(record, form.cleaned_data["version"], changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=record.name, back=request.path)
        messages.success(request, _("Saved. Rooms laid out before keep the cutout they were issued with."))
        return redirect("fixture_type", record.pk)
    verify = VerifyForm(
        initial={
            "version": record.version,
            "verified_by": request.member.user.name,
            "verified_on": timezone.localdate(),
        }
    )
    context = {"form": form, "record": record, "tape": tape, "verify": verify, "light": type_shown(record)}
    return render(request, "catalogue/fixture_type.html", context, status=422 if form.errors else 200)


def verify_cutout(request, type_id):
    record = _type_of(request.shop, type_id)
    form = VerifyForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Verified by, and the day: fill in both."))
        return redirect("fixture_type", record.pk)
    data = form.cleaned_data
    try:
        services.verify_cutout(record, data["version"], by=data["verified_by"], on=data["verified_on"])
    except StaleVersion:
        messages.error(request, _("The type was changed meanwhile. Look at the cutout again, then verify."))
    else:
        messages.success(request, _("Cutout verified. Cards printed from now on say so."))
    return redirect("fixture_type", record.pk)


# Switches and dimmers


def control_types(request):
    form = ControlTypeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            record = services.add_control(request.shop, **form.cleaned_data)
        except services.KeyTaken:
            form.add_error("name", _("The catalog already has this name. Give a different one."))
        else:
            messages.success(request, _("%(name)s is in the catalog.") % {"name": record})
            return redirect("control_types")
    page = Paginator(ControlType.objects.of(request.shop), PAGE).get_page(request.GET.get("page"))
    context = {"form": form, "page": page}
    return render(request, "catalogue/control_types.html", context, status=422 if form.errors else 200)


def control_type(request, control_id):
    record = ControlType.objects.of(request.shop).filter(pk=control_id).first()
    if record is None:
        raise Http404
    form = ChangeControlForm(request.POST or None, initial=vars(record))
    if request.method == "POST" and form.is_valid():
        changes = {name: value for name, value in form.cleaned_data.items() if name != "version"}
        try:
            services.change_control(record, form.cleaned_data["version"], changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=record.name, back=request.path)
        messages.success(request, _("Saved."))
        return redirect("control_types")
    context = {"form": form, "record": record}
    return render(request, "catalogue/control_type.html", context, status=422 if form.errors else 200)
