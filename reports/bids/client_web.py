"""The page behind a client's link: no sign-in. It shows one bid as it was sent, takes a name and a day, and no more.

Nothing here reads a shop's other records; what may be shown is built up in showing.for_client.
"""

from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone

from projects.doors.door import speak_for_link
from reports.bids import queries, services
from reports.bids.contents import kept
from reports.bids.models import State
from reports.bids.showing import for_client
from reports.bids.web_parts import sign_form


def client_link(request, link):
    """The bid in words and pictures, and where to sign."""
    found = queries.link_behind(link)
    if found is None:
        raise Http404
    speak_for_link(found.shop_id)
    today = timezone.localdate()
    form, refused = sign_form(found.bid_revision, today), ""
    if request.method == "POST":
        form = sign_form(found.bid_revision, today, request.POST)
        if form.is_valid():
            data = form.cleaned_data
            try:
                services.accept_by_link(found, data["digest"], name=data["name"], on=data["on"], today=today)
            except services.NotDone as error:
                refused, found = str(error), queries.link_behind(link)
            else:
                return _alone(redirect("client_link", link))
    status = 422 if form.errors else 409 if refused else 200
    answer = render(request, "bids/client.html", _shown(found, form, refused, today), status=status)
    return _alone(answer)


def _shown(found, form, refused, today):
    revision = found.bid_revision
    accepted = revision.state == State.ACCEPTED
    gone = found.revoked_at is not None
    over = today > found.expires_on and not accepted
    context = {"refused": refused, "gone": gone, "over": over, "until": found.expires_on}
    if gone:
        return context
    context |= {
        "state": revision.state,
        "accepted": accepted,
        "revision": revision,
        "digest": found.digest[:12],
        "may_sign": revision.state == State.SENT and not over,
        "form": form,
    }
    # Taken back, replaced or too old: it says so, and the old price isn't shown to be taken for the new one.
    if accepted or context["may_sign"]:
        context["told"] = for_client(kept(revision))
    return context


def _alone(answer):
    """Not kept by a phone, not found by a search. (That its address goes to no other site stands in the settings.)"""
    answer["Cache-Control"] = "no-store"
    answer["X-Robots-Tag"] = "noindex, nofollow"
    return answer
