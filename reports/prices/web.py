"""Pages of the price list: what is bought, what it costs, and the job's rates. Door, form, service, answer."""

import datetime as dt

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import F, OuterRef, Q, Subquery
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from projects.jobs.queries import job_of
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion
from reports.prices import services
from reports.prices.forms import ChangeItemForm, ItemForm, PriceForm, RatesForm
from reports.prices.lines import rules_for
from reports.prices.models import Item, ItemPack, JobRates, Price

PAGE = 50
HISTORY = 50
OLD_AFTER = dt.timedelta(days=90)  # a price older than this is marked. Common practice, no source.
SHOWN = {"": _("all"), "missing": _("without a price"), "plugged": _("plugged"), "old": _("over 90 days old")}


def _answer(request, template, form, **context):
    return render(request, template, {"form": form, **context}, status=422 if form.errors else 200)


def price_list(request):
    if request.method == "POST":
        added = services.list_lines(request.shop, rules_for(request.shop))
        told = ngettext("%(n)s line put on the list.", "%(n)s lines put on the list.", added) % {"n": added}
        messages.success(request, told if added else _("The list has every line a takeoff can ask for."))
        return redirect("price_list")
    asked = {"q": request.GET.get("q", "").replace("\0", "")[:80], "show": request.GET.get("show", "")}
    page = Paginator(items_shown(request.shop, asked), PAGE).get_page(request.GET.get("page"))
    packs = _packs_now(request.shop, [item.pk for item in page])
    rows = [(item, packs.get(item.pk, [])) for item in page]
    context = {
        "page": page,
        "rows": rows,
        "asked": asked,
        "choices": [(key, words, key == asked["show"]) for key, words in SHOWN.items()],
        "any": page.paginator.count or Item.objects.of(request.shop).exists(),
        "tape": request.shop.tape,
        "old": timezone.localdate() - OLD_AFTER,
    }
    return render(request, "prices/price_list.html", context)


def items_shown(shop, asked):
    today = timezone.localdate()
    now = Price.objects.of(shop).filter(pack__item=OuterRef("pk"), on__lte=today, amount__isnull=False)
    real = now.filter(plugged_by="")
    items = Item.objects.of(shop).filter(retired=False).annotate(
        newest=Subquery(now.values("on")[:1]), newest_real=Subquery(real.values("on")[:1])
    )  # fmt: skip
    for word in asked["q"].split():
        items = items.filter(Q(name__icontains=word) | Q(key__icontains=word) | Q(category__icontains=word))
    narrowed = {
        "missing": {"newest__isnull": True},
        "plugged": {"newest__isnull": False, "newest_real__isnull": True},
        "old": {"newest__lt": today - OLD_AFTER},
    }.get(asked["show"], {})
    return items.filter(**narrowed)


def _packs_now(shop, item_ids):
    """By item: its packs with the price that stands today, smallest first; those no longer sold are left out."""
    latest = Price.objects.of(shop).filter(pack=OuterRef("pk"), on__lte=timezone.localdate())
    packs = (
        ItemPack.objects.of(shop)
        .filter(item__in=item_ids)
        .annotate(
            amount=Subquery(latest.values("amount")[:1]),
            on=Subquery(latest.values("on")[:1]),
            source=Subquery(latest.values("source")[:1]),
            plugged_by=Subquery(latest.values("plugged_by")[:1]),
        )
        .exclude(amount=None)
        .order_by(F("pieces").asc(nulls_last=True), "length")
    )
    found = {}
    for pack in packs:
        found.setdefault(pack.item_id, []).append(pack)
    return found


def new_item(request):
    form = ItemForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            item = services.add_item(request.shop, **form.cleaned_data)
        except services.KeyTaken as taken:
            form.add_error("name", str(taken))
        else:
            return redirect("price_item", item.pk)
    return _answer(request, "prices/new_item.html", form)


def item_of(shop, item_id):
    item = Item.objects.of(shop).filter(pk=item_id).first()
    if item is None:
        raise Http404
    return item


def price_item(request, item_id):
    item = item_of(request.shop, item_id)
    form = ChangeItemForm(request.POST or None, initial=vars(item))
    if request.method == "POST" and form.is_valid():
        try:
            if item.by_length != (form.cleaned_data["unit"] == "length"):
                form.add_error("unit", _("What is bought by the coil stays so. Add another item instead."))
                raise services.KeyTaken
            services.change_item(item, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=item.name, back=request.path)
        except services.KeyTaken:
            pass
        else:
            messages.success(request, _("Saved."))
            return redirect("price_item", item.pk)
    return _show_item(request, item, form, _price_form(request, item))


def _price_form(request, item, data=None):
    return PriceForm(data, item=item, tape=request.shop.tape, initial={"on": timezone.localdate()}, prefix="price")


def _show_item(request, item, form, price_form):
    history = Price.objects.of(request.shop).filter(pack__item=item).select_related("pack", "by__user", "imported")
    context = {
        "item": item,
        "form": form,
        "price_form": price_form,
        "packs": _packs_now(request.shop, [item.pk]).get(item.pk, []),
        "page": Paginator(history, HISTORY).get_page(request.GET.get("page")),
        "tape": request.shop.tape,
        "old": timezone.localdate() - OLD_AFTER,
    }
    wrong = form.errors or price_form.errors
    return render(request, "prices/item.html", context, status=422 if wrong else 200)


def set_price(request, item_id):
    item = item_of(request.shop, item_id)
    form = _price_form(request, item, request.POST)
    if form.is_valid():
        data = form.cleaned_data
        services.set_price(item, form.size, form.price, on=data["on"], source=data["source"], by=request.member)
        messages.success(request, _("Kept. Sums made from today on use it; what was sent keeps the price it had."))
        return redirect("price_item", item.pk)
    return _show_item(request, item, ChangeItemForm(initial=vars(item)), form)


# Rates


def shop_rates(request):
    return _rates(request, None, "shop_rates")


def job_rates(request, job_id):
    job = job_of(request.shop, job_id)
    return _rates(request, job, "job_rates", job.pk)


def _rates(request, job, route, *args):
    """The job's own; where it has none, the form starts from what the shop usually reckons with."""
    own = JobRates.objects.of(request.shop).filter(job=job).first()
    usual = own or JobRates.objects.of(request.shop).filter(job=None).first()
    start = {name: getattr(usual, name) for name in ("wage", "burden_pct", "tax_pct")} if usual else {}
    form = RatesForm(request.POST or None, initial={**start, "version": own.version if own else 0})
    if request.method == "POST" and form.is_valid():
        try:
            services.set_rates(request.shop, job, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=_("the rates"), back=request.path)
        messages.success(request, _("Saved."))
        return redirect(route, *args)
    return _answer(request, "prices/rates.html", form, job=job, own=own, usual=usual)
