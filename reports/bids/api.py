"""Bids over the API: read, written line by line, sent. The same forms and services as their pages."""

from django.urls import path, reverse
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.jobs.queries import job_of
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing, by_id, choice
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.views import ApiView, Record, RecordView, taken
from reports.bids import ground, queries, services
from reports.bids.contents import draft_contents, kept
from reports.bids.forms import BOXES, LineForm, NewBidForm, OutcomeForm, SignForm, TermsForm, WhyForm, line_in, terms_in
from reports.bids.models import Bid, BidLine, BidRevision, LineKind, Outcome, State
from reports.estimating.bid import BidError
from reports.estimating.kept_text import canonical, digest_of

TERMS = Body("BidTermsBody", TermsForm)
NEW_BID = Body("NewBidBody", NewBidForm)
SIGNED = Body("BidSignedBody", SignForm)
WHY = Body("BidWhyBody", WhyForm)
OUTCOME = Body("BidOutcomeBody", OutcomeForm)


def line_body(kind):
    """Each kind of line has the boxes of its own."""
    return Body(
        f"Bid{kind.value.title().replace('_', '')}LineBody",
        LineForm,
        example=lambda: LineForm(kind=kind, new=True).fields,
    )


ANY_LINE = Body("BidLineBody", LineForm, example=lambda: _every_box())


def _every_box():
    """All boxes there are, none of them needed: which count, the line's kind says."""
    fields = {}
    for kind in LineKind:
        for name, field in LineForm(kind=kind, new=True).fields.items():
            field.required = name == "words"
            fields[name] = field
    return fields


class BidOut(Record):
    class Meta:
        model = Bid
        fields = ("id", "job", "number", "client", "outcome", "outcome_why", "outcome_on", "version", "created_at")
        read_only_fields = fields


class BidRevisionRow(Record):
    letter = serializers.CharField(read_only=True)

    class Meta:
        model = BidRevision
        fields = ("id", "bid", "letter", "state", "price", "cost", "sent_at", "valid_until", "accepted_name",
                  "accepted_on", "digest", "version")  # fmt: skip
        read_only_fields = fields


class BidRevisionOut(BidRevisionRow):
    """contents: what was sent, or a draft as it would be sent now; null while a draft can't be summed."""

    contents = serializers.DictField(read_only=True, allow_null=True)
    seen = serializers.CharField(read_only=True, help_text="The digest of these contents, as sending a draft asks for")

    class Meta(BidRevisionRow.Meta):
        fields = tuple(dict.fromkeys((*BidRevisionRow.Meta.fields, *TermsForm.base_fields, "contents", "seen")))
        read_only_fields = fields


class BidLineOut(Record):
    class Meta:
        model = BidLine
        fields = ("id", "revision", "key", "kind", "words", "room", "material", "taxable", "hours", "amount", "price",
                  "quantity", "unit", "percent", "when", "included", "version")  # fmt: skip
        read_only_fields = fields


class NewRevisionOut(serializers.Serializer):
    bid = BidOut()
    revision = BidRevisionRow()


class SeenIn(serializers.Serializer):
    seen = serializers.CharField(max_length=64, help_text="The digest of the contents that were looked at")


def revision_told(revision):
    """A revision as it is read."""
    try:
        revision.contents = _draft(revision) if revision.is_draft else kept(revision)
    except BidError:
        revision.contents = None
    revision.seen = revision.digest or (digest_of(canonical(revision.contents)) if revision.contents else "")
    return BidRevisionOut(revision).data


def _draft(revision):
    return draft_contents(revision, queries.lines_of(revision), ground.base_for(revision))


def done(change, *args, **kwargs):
    """What the service gives. Raises CannotBeDone with its reason."""
    try:
        return change(*args, **kwargs)
    except (services.NotDone, BidError, ground.CannotCount) as refused:
        raise CannotBeDone(str(refused)) from refused


class Bids(ApiView):
    listing = Listing(
        Bid,
        filters={"outcome": choice("outcome", Outcome.values), "job": by_id("job_id")},
        ordering=("number", "updated_at"),
        search=("number", "client"),
    )

    @extend_schema(operation_id="bids", responses=BidOut(many=True))
    def get(self, request):
        """The shop's bids, the newest first."""
        return self.paged(Bid.objects.of(request.shop).filter(job__trashed_at=None), BidOut)


class JobBids(ApiView):
    listing = Listing(
        Bid,
        filters={"outcome": choice("outcome", Outcome.values)},
        ordering=("number", "updated_at"),
        search=("number", "client"),
    )

    @extend_schema(operation_id="bids_of_job", responses=BidOut(many=True))
    def get(self, request, job_id):
        """The job's bids, the newest first."""
        return self.paged(job_of(request.shop, job_id).bids.all(), BidOut)

    @extend_schema(operation_id="open_bid", request=NEW_BID.schema(), responses={201: NewRevisionOut})
    def post(self, request, job_id):
        """Start a bid: revision A, with the shop's usual texts."""
        job = job_of(request.shop, job_id)
        form = NEW_BID.fill(request.data)
        try:
            revision = services.open_bid(job, by=request.member, **form.cleaned_data)
        except services.NumberTaken as error:
            raise taken("/number", error) from error
        where = reverse("api:bid_revision", args=[revision.pk])
        return Response(
            NewRevisionOut({"bid": revision.bid, "revision": revision}).data, status=201, headers={"Location": where}
        )


class BidRevisions(ApiView):
    listing = Listing(BidRevision, filters={"state": choice("state", State.values)}, ordering=("number", "updated_at"))

    @extend_schema(operation_id="bid_revisions", responses=BidRevisionRow(many=True))
    def get(self, request, bid_id):
        """A bid's revisions, the newest first."""
        return self.paged(queries.bid_of(request.shop, bid_id).revisions.all(), BidRevisionRow)

    @extend_schema(operation_id="next_bid_revision", request=None, responses={201: BidRevisionRow})
    def post(self, request, bid_id):
        """Start the next revision, a copy of the latest; a draft at hand is given back as it is."""
        bid = queries.bid_of(request.shop, bid_id)
        revision = done(services.next_revision, bid, by=request.member)
        return Response(BidRevisionRow(revision).data, status=201)


class BidRevisionView(ApiView):
    @extend_schema(operation_id="bid_revision", responses=BidRevisionOut)
    def get(self, request, bid_revision_id):
        """One revision: its terms, and all it says."""
        revision = queries.revision_of(request.shop, bid_revision_id)
        return self.told(revision, revision_told(revision))

    @extend_schema(operation_id="change_bid_terms", request=TERMS.schema(partial=True), responses=BidRevisionOut)
    def patch(self, request, bid_revision_id):
        """Change a draft's terms. What was sent stays."""
        revision = queries.revision_of(request.shop, bid_revision_id)
        self.change(
            revision,
            TERMS,
            lambda one: BidRevisionRow(one).data | terms_told(one),
            lambda form, seen: done(services.change_terms, revision, seen, form.changes),
            start=terms_in(revision),
        )
        stored = queries.revision_of(request.shop, bid_revision_id)
        return self.told(stored, revision_told(stored))


def terms_told(revision):
    return {name: str(value) for name, value in terms_in(revision).items()}


class BidLines(ApiView):
    listing = Listing(
        BidLine,
        filters={"kind": choice("kind", LineKind.values)},
        ordering=("place", "updated_at"),
        search=("words", "room"),
    )

    @extend_schema(operation_id="bid_lines", responses=BidLineOut(many=True))
    def get(self, request, bid_revision_id):
        """A revision's lines, in order."""
        return self.paged(queries.revision_of(request.shop, bid_revision_id).lines.all(), BidLineOut)

    @extend_schema(
        operation_id="add_bid_line",
        request=ANY_LINE.schema(),
        responses={201: BidLineOut},
        parameters=[OpenApiParameter("kind", str, enum=LineKind.values, description="work unless given")],
    )
    def post(self, request, bid_revision_id):
        """Add a line of one kind to a draft."""
        revision = queries.revision_of(request.shop, bid_revision_id)
        kind = request.query_params.get("kind", LineKind.WORK.value)
        if kind not in LineKind.values:
            raise Refused(
                [{"parameter": "kind", "detail": f"One of: {', '.join(LineKind.values)}.", "code": "invalid"}]
            )
        form = line_body(LineKind(kind)).fill(
            request.data, kind=kind, new=True, rooms=ground.room_names(revision), start={"taxable": True}
        )
        line = done(services.add_line, revision, kind, **form.cleaned_data)
        return self.told(line, BidLineOut(line).data, status=201)


class BidLineView(RecordView):
    out = BidLineOut

    @extend_schema(operation_id="bid_line", responses=BidLineOut)
    def get(self, request, bid_line_id):
        """One line."""
        return self.answer(queries.line_of(request.shop, bid_line_id))

    @extend_schema(operation_id="change_bid_line", request=ANY_LINE.schema(partial=True), responses=BidLineOut)
    def patch(self, request, bid_line_id):
        """Change what is given, from the version that was read."""
        line = queries.line_of(request.shop, bid_line_id)
        return self.edit(
            line,
            line_body(LineKind(line.kind)),
            lambda form, seen: done(services.change_line, line, seen, form.changes),
            start={name: value for name, value in line_in(line).items() if name in BOXES[LineKind(line.kind)]},
            kind=line.kind,
            rooms=ground.room_names(line.revision),
        )

    @extend_schema(operation_id="remove_bid_line", responses={204: None})
    def delete(self, request, bid_line_id):
        """Take a line out of a draft, from the version that was read."""
        line = queries.line_of(request.shop, bid_line_id)
        return self.remove(line, lambda seen: done(services.remove_line, line, seen))


class SendBid(ApiView):
    @extend_schema(operation_id="send_bid", request=SeenIn, responses=BidRevisionRow)
    def post(self, request, bid_revision_id):
        """Keep the draft word for word. `seen` is its contents' digest: SHA-256 of them as canonical JSON."""
        revision = queries.revision_of(request.shop, bid_revision_id)
        seen = request.data.get("seen") if isinstance(request.data, dict) else None
        if not isinstance(seen, str) or len(seen) != len(digest_of(canonical({}))):
            said = "Give the digest of the contents you looked at, 64 characters."
            raise Refused([{"pointer": "/seen", "detail": said, "code": "invalid"}])
        sent = done(services.send, revision, seen, by=request.member, on=timezone.localdate())
        return self.told(sent, BidRevisionRow(sent).data)


class AcceptBid(ApiView):
    @extend_schema(operation_id="accept_bid", request=SIGNED.schema(), responses=BidRevisionRow)
    def post(self, request, bid_revision_id):
        """Write down a signature that came on paper: whose, when, and under which contents (`digest`)."""
        revision = queries.revision_of(request.shop, bid_revision_id)
        today = timezone.localdate()
        data = SIGNED.fill(request.data, today=today).cleaned_data
        accepted = done(
            services.accept,
            revision,
            data["digest"],
            name=data["name"],
            on=data["on"],
            today=today,
            by=request.member,
        )
        return self.told(accepted, BidRevisionRow(accepted).data)


class WithdrawBid(ApiView):
    @extend_schema(operation_id="withdraw_bid", request=WHY.schema(), responses=BidRevisionRow)
    def post(self, request, bid_revision_id):
        """Take back a revision that is out. The client's link says so from now on."""
        revision = queries.revision_of(request.shop, bid_revision_id)
        why = WHY.fill(request.data).cleaned_data["why"]
        withdrawn = done(services.withdraw, revision, why=why)
        return self.told(withdrawn, BidRevisionRow(withdrawn).data)


class BidView(RecordView):
    out = BidOut

    @extend_schema(operation_id="bid", responses=BidOut)
    def get(self, request, bid_id):
        """One bid, and how it turned out."""
        return self.answer(queries.bid_of(request.shop, bid_id))

    @extend_schema(operation_id="record_bid_outcome", request=OUTCOME.schema(partial=True), responses=BidOut)
    def patch(self, request, bid_id):
        """Say that it was lost, or never answered, and why. It is won by being accepted."""
        bid = queries.bid_of(request.shop, bid_id)
        return self.edit(
            bid,
            OUTCOME,
            lambda form, seen: done(
                services.record_outcome,
                bid,
                seen,
                outcome=form.cleaned_data["outcome"],
                why=form.cleaned_data["outcome_why"],
                on=timezone.localdate(),
            ),
            start={"outcome": bid.outcome, "outcome_why": bid.outcome_why},
        )

    @extend_schema(operation_id="discard_bid", responses={204: None})
    def delete(self, request, bid_id):
        """Throw away a bid that nobody was sent. Kept takeoffs stay."""
        bid = queries.bid_of(request.shop, bid_id)
        return self.remove(bid, lambda seen: done(services.discard_bid, bid, seen))


REVISION = "bids/revisions/<int:bid_revision_id>/"

urlpatterns = [
    path("bids/", Bids.as_view(), name="bids"),
    path("jobs/<int:job_id>/bids/", JobBids.as_view(), name="job_bids"),
    path("bids/<int:bid_id>/", BidView.as_view(), name="bid"),
    path("bids/<int:bid_id>/revisions/", BidRevisions.as_view(), name="bid_revisions"),
    path(REVISION, BidRevisionView.as_view(), name="bid_revision"),
    path(REVISION + "lines/", BidLines.as_view(), name="bid_lines"),
    path("bids/lines/<int:bid_line_id>/", BidLineView.as_view(), name="bid_line"),
    path(REVISION + "send/", SendBid.as_view(), name="send_bid"),
    path(REVISION + "accept/", AcceptBid.as_view(), name="accept_bid"),
    path(REVISION + "withdraw/", WithdrawBid.as_view(), name="withdraw_bid"),
]
