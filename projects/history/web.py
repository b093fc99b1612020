"""The shop's history: what was changed, by whom, before and after."""

from django.http import Http404, JsonResponse
from django.shortcuts import render

from projects.history import persons
from projects.history.forms import AskedForm
from projects.history.queries import Asked, of_shop, page_of
from projects.history.recorded import told_models
from projects.history.showing import model_of, shown, word_of

OF_PEOPLE = ("accounts", "doors")  # whose rows the owner alone keeps


def shop_history(request):
    """Everything of the shop, or what is asked for; an unreadable question is said, and nothing is hidden by it."""
    form = AskedForm(request.shop, request.GET)
    asked = form.asked if form.is_valid() else Asked()
    page = page_of(request.shop, of_shop(request.shop, asked), form.cleaned_data.get("before"))
    context = {"form": form, "page": page, "changes": shown(request.shop, page.entries), "asked": asked}
    return render(request, "history/shop_history.html", context, status=200 if form.is_valid() else 422)


def record_history(request, table, record_id):
    """One record's, for whoever sees prices; of people and their tokens the owner's page alone tells."""
    model = model_of(table)
    if model is None or model not in told_models() or model._meta.app_label in OF_PEOPLE:
        raise Http404
    rows = of_shop(request.shop, Asked(what=table, record=str(record_id)))
    form = AskedForm(request.shop, request.GET)
    page = page_of(request.shop, rows, form.cleaned_data.get("before") if form.is_valid() else None)
    if not page.entries:
        raise Http404
    context = {"page": page, "changes": shown(request.shop, page.entries), "what": word_of(table), "id": record_id}
    return render(request, "history/record_history.html", context)


def own_data(request):
    """What is kept of whoever asks, in this shop, as a file."""
    if request.method != "POST":
        return render(request, "history/own_data.html")
    told = persons.copy_of(request.member.user, shop=request.shop)
    return JsonResponse(
        told, json_dumps_params={"ensure_ascii": False, "indent": 1},
        headers={"Content-Disposition": 'attachment; filename="kept-of-me.json"'},
    )  # fmt: skip
