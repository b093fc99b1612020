"""Pages for a shop's owner: who is told what happens in the shop, and what came of each message."""

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion
from projects.webhooks import services
from projects.webhooks.forms import NewWebhookForm, WebhookForm
from projects.webhooks.models import Webhook

ON_A_PAGE = 50


def webhooks(request):
    form, secret = NewWebhookForm(request.POST or None), ""
    if request.method == "POST" and form.is_valid():
        try:
            _made, secret = services.make(request.shop, request.member, **form.cleaned_data)
        except services.CannotDo as refused:
            form.add_error(None, str(refused))
        else:
            form = NewWebhookForm()
    rows = Webhook.objects.of(request.shop)[: services.MOST]
    context = {"form": form, "secret": secret, "webhooks": rows, "history": settings.HISTORY}
    return render(request, "webhooks/webhooks.html", context, status=422 if form.errors else 200)


def webhook(request, webhook_id):
    found = services.of(request.shop, webhook_id)
    form = WebhookForm(request.POST or None, initial=vars(found) | {"events": found.event_names})
    if request.method == "POST" and form.is_valid():
        try:
            services.change(found, form.seen_version, **form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=str(stale.theirs), back=request.path)
        messages.success(request, _("Saved. It holds for what happens from now on."))
        return redirect("webhook", webhook_id)
    return _shown(request, found, form, status=422 if form.errors else 200)


def _shown(request, found, form=None, *, secret="", status=200):
    form = form or WebhookForm(initial=vars(found) | {"events": found.event_names})
    page = Paginator(found.deliveries.order_by("-pk"), ON_A_PAGE).get_page(request.GET.get("page"))
    context = {"form": form, "webhook": found, "page": page, "secret": secret}
    return render(request, "webhooks/webhook.html", context, status=status)


def webhook_secret(request, webhook_id):
    """Shown on the answer itself: it is kept nowhere to be shown again."""
    found = services.of(request.shop, webhook_id)
    try:
        secret = services.renew_secret(found)
    except services.CannotDo as refused:
        messages.error(request, str(refused))
        return redirect("webhook", webhook_id)
    return _shown(request, services.of(request.shop, webhook_id), secret=secret)


def end_webhook_secret(request, webhook_id):
    return _done(request, webhook_id, services.end_older_secret, _("Ended. The newer one alone signs from now on."))


def try_webhook(request, webhook_id):
    return _done(request, webhook_id, services.ping, _("On its way. What came of it stands below in a moment."))


def send_again(request, webhook_id, delivery_id):
    return _done(
        request, webhook_id, lambda found: services.send_again(found, delivery_id), _("On its way once more.")
    )  # fmt: skip


def _done(request, webhook_id, do, said):
    try:
        do(services.of(request.shop, webhook_id))
    except services.CannotDo as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, said)
    return redirect("webhook", webhook_id)


def remove_webhook(request, webhook_id):
    found = services.of(request.shop, webhook_id)
    try:
        services.remove(found, found.version if request.POST.get("version") == str(found.version) else 0)
    except StaleVersion:
        messages.error(request, _("This was changed by someone else while you had it open. Look at it, then decide."))
        return redirect("webhook", webhook_id)
    messages.success(request, _("Removed. Nothing is told there any more."))
    return redirect("webhooks")
