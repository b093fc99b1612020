"""The shop's leftovers: what lies on its shelves, what is left on opened reels, and the ledger behind them."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from projects.jobs.models import Job
from reports.purchasing import services
from reports.purchasing.forms import ShelfForm, TakeForm
from reports.purchasing.models import Leftover
from reports.purchasing.services import Item, NotDone
from reports.wiring.models import Reel

PAGE = 50
MOST_REELS = 50
MOST_JOBS = 200


def leftovers(request):
    return _shelf(request)


def _shelf(request, form=None, status=200):
    rows = Paginator(services.shelf(request.shop.pk), PAGE).get_page(request.GET.get("page"))
    ledger = Leftover.objects.of(request.shop).select_related("by__user", "job")
    context = {
        "page": rows,
        "ledger": Paginator(ledger, PAGE).get_page(request.GET.get("ledger")),
        "reels": Reel.objects.of(request.shop).filter(left__gt=0)[:MOST_REELS],
        "tape": request.shop.tape,
        "form": form or ShelfForm(),
    }
    return render(request, "purchasing/leftovers.html", context, status=status)


def count_leftovers(request):
    form = ShelfForm(request.POST)
    if form.is_valid():
        data = form.cleaned_data
        item = Item(data["key"] or f"own:{data['name'].lower()[:110]}", data["name"], data["unit"], abs(data["change"]))
        try:
            services.count_shelf(
                request.shop,
                item,
                data["change"],
                lies=data["lies"],
                slip=data["slip"],
                note=data["note"],
                by=request.member,
            )
        except NotDone as refused:
            form.add_error("change", str(refused))
        else:
            messages.success(request, _("Written to the ledger."))
            return redirect("leftovers")
    return _shelf(request, form, 422)


def take_leftovers(request, leftover_id):
    one = Leftover.objects.of(request.shop).filter(pk=leftover_id).first()
    if one is None:
        raise Http404
    row = services.shelf(request.shop.pk).filter(key=one.key, unit=one.unit, lies=one.lies).first()
    if row is None:
        messages.error(request, _("Nothing of that is left on the shelf."))
        return redirect("leftovers")
    jobs = Job.objects.of(request.shop).order_by("-pk")
    form = TakeForm(
        jobs[:MOST_JOBS] if request.method == "GET" else jobs,
        request.POST if request.method == "POST" else None,
        initial={"quantity": row["n"]},
    )
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        item = Item(row["key"], row["name"], row["unit"], data["quantity"])
        try:
            services.take_from_shelf(
                data["job"], item, data["went_to"], lies=row["lies"], slip=data["slip"], by=request.member
            )
        except NotDone as refused:
            form.add_error("quantity", str(refused))
        else:
            messages.success(request, _("Taken: it is the job's now."))
            return redirect("job_stock", data["job"].pk)
    status = 422 if form.errors else 200
    return render(request, "purchasing/take.html", {"row": row, "form": form}, status=status)
