"""Pages of a job's material: what to buy, its orders, what came, where it lies. Door, form, service, answer."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from layout.services import NotAsIssued
from projects.jobs.queries import job_of
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion
from reports.documents.takeoff import CATEGORIES
from reports.purchasing import queries, services
from reports.purchasing.forms import CarryForm, GiveUpForm, OrderForm, PromiseForm, ReceiveForm, SlipForm, row_of
from reports.purchasing.models import Movement, OrderLine, Place
from reports.purchasing.services import Item, NotDone, Refused

PAGE = 30


def _grouped(lines):
    """(the category in words, its lines), in the takeoff's order; what no takeoff knows last."""
    order = [*CATEGORIES, ""]
    known = {key: [line for line in lines if (line.category if line.category in order else "") == key] for key in order}
    return [(str(CATEGORIES.get(key, _("Not in the takeoff"))), some) for key, some in known.items() if some]


def _order_rows(material):
    return [(row_of(line.key), line.name, line.standing.to_buy) for line in material.lines]


def material(request, job_id):
    return _material(request, job_of(request.shop, job_id))


def _material(request, job, form=None, status=200):
    context = {"job": job, "places": Place.choices, "today": timezone.localdate()}
    try:
        found = queries.job_material(job)
    except NotAsIssued as refused:
        return render(request, "purchasing/material.html", context | {"refused": str(refused)}, status=422)
    form = form or OrderForm(_order_rows(found))
    lines = [(line, form.box(row)) for line in found.lines if (row := row_of(line.key)) in form.rows]
    orders = Paginator(queries.orders_of(job).prefetch_related("lines"), PAGE).get_page(request.GET.get("page"))
    now = queries.lines_now(request.shop, orders.object_list)
    context |= {
        "material": found,
        "groups": _grouped_boxes(lines),
        "form": form,
        "page": orders,
        "orders": [(order, _told(now[order.pk])) for order in orders],
    }
    return render(request, "purchasing/material.html", context, status=status)


def _grouped_boxes(lines):
    boxes = {line.key: box for line, box in lines}
    return [
        (title, [(line, boxes[line.key]) for line in some]) for title, some in _grouped([line for line, _box in lines])
    ]


def _told(lines):
    return {
        "lines": len(lines),
        "short": sum(1 for line in lines if line.short),
        "promised": min(
            (line.line.promised_on for line in lines if line.short and line.line.promised_on), default=None
        ),
    }


def order_material(request, job_id):
    job = job_of(request.shop, job_id)
    try:
        found = queries.job_material(job)
    except NotAsIssued:
        return redirect("material", job.pk)
    form = OrderForm(_order_rows(found), request.POST)
    if not form.is_valid():
        return _material(request, job, form, 422)
    data = form.cleaned_data
    lines = {row_of(line.key): line for line in found.lines}
    items = [Item(lines[row].key, lines[row].name, lines[row].unit, quantity) for row, quantity, _place in form.taken()]
    if data.get("other_name"):
        name = data["other_name"]
        items.append(Item(f"{queries.OWN}{name.lower()[:110]}", name, "each", data["other_quantity"]))
    try:
        order = services.place_order(
            job, items, from_whom=data["from_whom"], promised_on=data["promised_on"], note=data["note"],
            slip=data["slip"], by=request.member,
        )  # fmt: skip
    except NotDone as refused:
        form.add_error(None, str(refused))
        return _material(request, job, form, 422)
    messages.success(request, _("Order %(number)s is written. Book what comes here.") % {"number": order.number})
    return redirect("material_order", job.pk, order.number)


# One order


def material_order(request, job_id, order_number):
    return _order(request, queries.order_of(job_of(request.shop, job_id), order_number))


def _order(request, order, form=None, status=200):
    lines = queries.lines_now(request.shop, [order])[order.pk]
    rows = [(now.line.pk, now.line.name, now.short) for now in lines if now.short]
    form = form or ReceiveForm(rows)
    given_up = form if isinstance(form, GiveUpForm) else GiveUpForm([(pk, name, 0) for pk, name, _short in rows])
    receive = form if isinstance(form, ReceiveForm) else ReceiveForm(rows)
    booked = (
        Movement.objects.of(request.shop)
        .filter(order_line__order=order)
        .select_related("by__user", "undone_by", "order_line")
    )
    context = {
        "job": order.job,
        "order": order,
        "lines": [
            (
                now,
                receive.box(now.line.pk) if now.line.pk in receive.rows else None,
                PromiseForm(
                    initial={"promised_on": now.line.promised_on, "version": now.line.version},
                    auto_id=f"p{now.line.pk}_%s",
                ),
            )
            for now in lines
        ],
        "given_up": [(now, given_up.box(now.line.pk)) for now in lines if now.line.pk in given_up.rows],
        "form": form,
        "receive": receive,
        "give_up": given_up,
        "movements": booked.order_by("-pk")[: 3 * PAGE],
        "undo": SlipForm(),
        "today": timezone.localdate(),
    }
    return render(request, "purchasing/order.html", context, status=status)


def receive_material(request, job_id, order_number):
    order = queries.order_of(job_of(request.shop, job_id), order_number)
    return _book(request, order, ReceiveForm, not_coming=False)


def give_up_material(request, job_id, order_number):
    order = queries.order_of(job_of(request.shop, job_id), order_number)
    return _book(request, order, GiveUpForm, not_coming=True)


def _book(request, order, form_class, *, not_coming):
    form = form_class([(line.pk, line.name, 0) for line in order.lines.all()], request.POST)
    if form.is_valid():
        data = form.cleaned_data
        try:
            booked = services.receive(
                order, form.taken(), slip=data["slip"], by=request.member, note=data["note"], not_coming=not_coming
            )
        except Refused as refused:
            form.refuse(refused.errors)
        except NotDone as refused:
            form.add_error(None, str(refused))
        else:
            words = ngettext("%(n)s line is booked.", "%(n)s lines are booked.", len(booked)) % {"n": len(booked)}
            messages.success(request, words if booked else _("This was booked already, and is not booked twice."))
            return redirect("material_order", order.job_id, order.number)
    return _order(request, order, form, 422)


def promise_material(request, job_id, line_id):
    job = job_of(request.shop, job_id)
    line = OrderLine.objects.of(request.shop).filter(pk=line_id, order__job=job).select_related("order").first()
    if line is None:
        raise Http404
    form = PromiseForm(request.POST)
    if not form.is_valid():
        messages.error(request, " ".join(str(words) for some in form.errors.values() for words in some))
        return redirect("material_order", job.pk, line.order.number)
    try:
        services.promise(line, form.seen_version, form.cleaned_data["promised_on"])
    except StaleVersion as stale:
        return both_versions(
            request, form, stale, name=line.name, back=redirect("material_order", job.pk, line.order.number).url
        )
    return redirect("material_order", job.pk, line.order.number)


# Where it lies


def job_stock(request, job_id):
    job = job_of(request.shop, job_id)
    return _stock(request, job)


def _items(job, found):
    known = queries.names_of(job)
    return [(key, f"{known[key][0]}: {lies.at_hand} {known[key][1]}") for key, lies in found.items() if lies.at_hand]


def _stock(request, job, form=None, status=200):
    found = services.lies_of(job)
    names = queries.names_of(job)
    rows = sorted(((*names[key], lies) for key, lies in found.items() if lies.on_hand), key=lambda row: row[:2])
    context = {
        "job": job,
        "rows": rows,
        "places": Place.choices,
        "form": form or CarryForm(_items(job, found)),
        "page": Paginator(queries.movements_of(job), PAGE).get_page(request.GET.get("page")),
        "undo": SlipForm(),
    }
    return render(request, "purchasing/stock.html", context, status=status)


def carry_material(request, job_id):
    job = job_of(request.shop, job_id)
    names = queries.names_of(job)
    form = CarryForm(_items(job, services.lies_of(job)), request.POST)
    if form.is_valid():
        data = form.cleaned_data
        item = Item(data["item"], *names[data["item"]], data["quantity"])
        about = {"slip": data["slip"], "by": request.member, "note": data["note"]}
        try:
            if data["went_to"] == CarryForm.SHELF:
                services.leave_over(job, item, data["came_from"], lies=data["lies"], **about)
            else:
                services.move(job, item, data["came_from"], data["went_to"], **about)
        except NotDone as refused:
            form.add_error("quantity", str(refused))
        else:
            messages.success(request, _("Booked."))
            return redirect("job_stock", job.pk)
    return _stock(request, job, form, 422)


def take_back_movement(request, job_id, movement_id):
    job = job_of(request.shop, job_id)
    movement = Movement.objects.of(request.shop).filter(pk=movement_id, job=job).select_related("job").first()
    if movement is None:
        raise Http404
    form = SlipForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("This page is too old. Load it again."))
        return redirect("job_stock", job.pk)
    try:
        services.take_back(movement, slip=form.cleaned_data["slip"], by=request.member)
        messages.success(request, _("Taken back: both stay in the ledger."))
    except NotDone as refused:
        messages.error(request, str(refused))
    return redirect("job_stock", job.pk)
