"""What two pages of a bid share: the client's link as it is shown, and the box to sign in."""

from django.conf import settings
from django.urls import reverse

from reports.bids.forms import SignForm
from reports.bids.models import State


def link_address(request, link):
    """Where a client opens it: the shop's public address, else the one this page was asked at."""
    path = reverse("client_link", args=[link.token])
    return settings.PUBLIC_URL + path if settings.PUBLIC_URL else request.build_absolute_uri(path)


def link_of(revision, today):
    """The link that is open now, if any."""
    if revision.state != State.SENT:
        return None
    return next((link for link in revision.links.all() if link.revoked_at is None and today <= link.expires_on), None)


def shown_links(request, revision, today):
    return [
        {"link": link, "address": link_address(request, link), "over": today > link.expires_on}
        for link in revision.links.all()[:20]
    ]


def sign_form(revision, today, data=None):
    start = {"on": today, "digest": revision.digest}
    return SignForm(data, initial=start, today=today)
