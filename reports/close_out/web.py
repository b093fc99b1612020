"""A job's packets: what was made, what goes into the next, and what is warranted. Door, form, service, answer."""

from django.contrib import messages
from django.http import FileResponse, Http404
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.utils.translation import gettext as _

from projects.files import store
from projects.jobs.queries import job_of
from reports import queries as documents
from reports.close_out import forms, queries, services
from reports.close_out.work import cannot_be_made


def packets(request, job_id):
    """Making one is long work: it shows how far it is, can be cancelled, and goes on after the worker ended."""
    job = job_of(request.shop, job_id)
    laid = documents.laid_rooms(job)
    refused = cannot_be_made(laid)
    form = forms.PacketForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        if not refused:
            work = services.ask_for(job, form.cleaned_data["what"], form.cleaned_data["paper"], request.member)
            if not request.member.only_job:
                return redirect("work", work.pk)
            # The shop's work is not for a phone that joined one job: the packet is found here when it is made.
            messages.success(request, _("It is being made. Open this page again in a moment."))
            return redirect("packets", job.pk)
        form.add_error(None, refused)
    return _page(request, job, laid, form, forms.WarrantyForm(initial={"starts_on": job.closed_on}))


def warrant(request, job_id):
    job = job_of(request.shop, job_id)
    form = forms.WarrantyForm(request.POST)
    if not form.is_valid():
        return _page(request, job, documents.laid_rooms(job), forms.PacketForm(), form)
    services.warrant(job, request.member, **form.cleaned_data)
    messages.success(request, _("Entered. The next close-out packet tells it."))
    return redirect("packets", job.pk)


def _page(request, job, laid, form, warranty_form):
    now = services.digest_of(laid)
    context = {
        "job": job, "form": form, "warranty_form": warranty_form, "refused": cannot_be_made(laid),
        "packets": [(one, one.stands_on == now) for one in queries.packets_of(job)],
        "models": [(facts, rooms) for facts, rooms in queries.models_of(laid) if facts.missing],
        "warranties": queries.warranties_of(job),
    }  # fmt: skip
    status = 422 if form.errors or warranty_form.errors else 200
    return render(request, "close_out/packets.html", context, status=status)


def take_back_warranty(request, warranty_id):
    record = queries.warranty_of(request.shop, warranty_id)
    services.take_back_warranty(record)
    messages.success(request, _("Taken back."))
    return redirect("packets", record.job_id)


def packet_file(request, job_id, packet_id):
    packet = queries.packet_of(request.shop, job_id, packet_id)
    try:
        content = store.path_of(packet.shop_id, packet.file).open("rb")
    except FileNotFoundError as gone:
        raise Http404 from gone
    name = f"{slugify(f'{packet.job.number} {packet.what}')}.pdf"
    return FileResponse(content, filename=name, content_type="application/pdf")
