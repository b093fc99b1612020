"""Two people, or one impatient thumb, press at the same moment: one effect."""

import threading
from decimal import Decimal

import pytest
from django.db import connection
from django.utils import timezone

from reports.bids import services
from reports.bids.contents import draft_contents
from reports.bids.ground import base_for
from reports.bids.models import BidRevision, ClientLink
from reports.bids.queries import link_behind, revision_of
from reports.estimating.kept_text import canonical, digest_of
from tests.factories import JobFactory, MemberFactory

pytestmark = pytest.mark.django_db(transaction=True)


def at_once(*doings):
    """Run all of them at the same moment; what each gave, or the error it raised."""
    start, told = threading.Barrier(len(doings)), [None] * len(doings)

    def run(place, doing):
        start.wait()
        try:
            told[place] = doing()
        except services.NotDone as refused:
            told[place] = refused
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=each) for each in enumerate(doings)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return told


def test_sent_at_once_there_is_one_link_and_signed_at_once_one_name():
    job = JobFactory()
    by = MemberFactory(shop=job.shop)
    draft = services.open_bid(job, by=by)
    services.add_line(draft, "work", words="Lights", material=Decimal(100))
    draft = revision_of(job.shop, draft.pk)
    seen = digest_of(canonical(draft_contents(draft, list(draft.lines.all()), base_for(draft))))
    today = timezone.localdate()

    def send():
        return services.send(revision_of(job.shop, draft.pk), seen, by=by, on=today)

    assert [sent.state for sent in at_once(send, send)] == ["sent", "sent"]
    link = ClientLink.objects.of(job.shop).get()

    def sign(name):
        return lambda: services.accept_by_link(link_behind(link.token), seen, name=name, on=today, today=today)

    first, second = at_once(sign("A. Reyes"), sign("B. Reyes"))
    assert first.accepted_name == second.accepted_name
    assert BidRevision.objects.of(job.shop).get().state == "accepted"


def test_signed_while_it_is_withdrawn_it_is_one_or_the_other():
    job = JobFactory()
    by = MemberFactory(shop=job.shop)
    draft = services.open_bid(job, by=by)
    services.add_line(draft, "work", words="Lights", material=Decimal(100))
    draft = revision_of(job.shop, draft.pk)
    seen = digest_of(canonical(draft_contents(draft, list(draft.lines.all()), base_for(draft))))
    today = timezone.localdate()
    services.send(draft, seen, by=by, on=today)
    link = ClientLink.objects.of(job.shop).get()
    told = at_once(
        lambda: services.accept_by_link(link_behind(link.token), seen, name="A. Reyes", on=today, today=today),
        lambda: services.withdraw(revision_of(job.shop, draft.pk), why=""),
    )
    assert sum(isinstance(each, services.NotDone) for each in told) == 1
    assert BidRevision.objects.of(job.shop).get().state in ("accepted", "withdrawn")
