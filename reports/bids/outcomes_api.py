"""What is done with a bid besides writing it, over the API: linked, trued up, compared, printed, counted."""

from django import forms
from django.urls import path
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.response import Response

from projects.platform.api.bodies import Body, Kind, Unfit
from projects.platform.api.lists import Listing
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.views import ApiView, Record, RecordView, taken
from reports.bids import ground, papers, queries, services
from reports.bids.api import BidOut, BidRevisionOut, done, revision_told
from reports.bids.comparing import compare
from reports.bids.forms import BidForm, TextsForm, TrueUpForm
from reports.bids.models import ClientLink, ShopTexts
from reports.bids.papers_web import contents_of
from reports.bids.texts import LISTS, as_typed, texts_of
from reports.bids.web_parts import link_address
from reports.estimating.bid import BidError
from reports.papers_api import Document, Pdf, described

NOW = "now"
MOST_TEXTS = 100


class TakeoffForm(forms.Form):
    takeoff = forms.CharField(required=False, max_length=20, label="now, a kept takeoff's id, or null for none")


def _which(value, form):
    if value != NOW and (not isinstance(value, int) or isinstance(value, bool)):
        raise Unfit('Give "now", the id of a kept takeoff, or null for figures typed in alone.')
    return str(value)


@extend_schema_field({"oneOf": [{"type": "string", "enum": [NOW]}, {"type": "integer"}, {"type": "null"}]})
class WhichTakeoff(serializers.Field):
    """Describes what `_which` takes."""


def _which_shape(box, options):
    return WhichTakeoff(help_text=str(box.label), required=True)


def _lines(value, form):
    if not isinstance(value, list):
        raise Unfit("Give a list of texts.")
    for n, line in enumerate(value):
        if not isinstance(line, str) or len(line.splitlines()) != 1:
            raise Unfit("Give one line of text, in quotes.", at=(n,))
    return "\n".join(value)


def _lines_shape(box, options):
    child = serializers.CharField(max_length=400)
    said = f"{box.label}. {box.help_text}" if box.help_text else str(box.label)
    return serializers.ListField(child=child, max_length=MOST_TEXTS, help_text=said, **options)


TAKEOFF = Body("BidTakeoffBody", TakeoffForm, kinds={"takeoff": Kind(_which, _which_shape)})
NAMED = Body("BidNameBody", BidForm)
TRUE_UP = Body("BidTrueUpBody", TrueUpForm)
TEXTS = Body("BidTextsBody", TextsForm, kinds=dict.fromkeys(LISTS, Kind(_lines, _lines_shape)))


class BidTextsOut(serializers.Serializer):
    """A payment's percent of the price stands before it: 20 % Deposit on signing."""

    exclusions = serializers.ListField(child=serializers.CharField())
    assumptions = serializers.ListField(child=serializers.CharField())
    payments = serializers.ListField(child=serializers.CharField())
    own = serializers.BooleanField(help_text="The shop changed them")


class BidLinkOut(Record):
    address = serializers.SerializerMethodField()
    over = serializers.SerializerMethodField(help_text="Its last day is past")

    class Meta:
        model = ClientLink
        fields = ("id", "bid_revision", "address", "digest", "expires_on", "over", "revoked_at", "signed_name",
                  "signed_on", "created_at", "version")  # fmt: skip
        read_only_fields = fields

    def get_address(self, link) -> str:
        return link_address(self.context["request"], link)

    def get_over(self, link) -> bool:
        return timezone.localdate() > link.expires_on


class AllowanceOut(serializers.Serializer):
    """difference: (chosen - allowed) x quantity; null while nothing was chosen."""

    key = serializers.CharField()
    words = serializers.CharField()
    quantity = serializers.DecimalField(14, 3)
    allowed = serializers.DecimalField(13, 2)
    chosen = serializers.DecimalField(13, 2, allow_null=True)
    note = serializers.CharField()
    difference = serializers.DecimalField(13, 2, allow_null=True)


class BidStandingOut(serializers.Serializer):
    """What the page says beside the figures."""

    expired = serializers.BooleanField()
    moved = serializers.ListField(child=serializers.CharField(), help_text="What changed since it was counted")
    cautions = serializers.ListField(child=serializers.CharField())
    not_ready = serializers.ListField(child=serializers.CharField())


class DifferenceRowOut(serializers.Serializer):
    what = serializers.CharField()
    before = serializers.CharField()
    after = serializers.CharField()
    difference = serializers.CharField()


class ComparedOut(serializers.Serializer):
    sentence = serializers.CharField()
    rows = DifferenceRowOut(many=True)


class TallyOut(serializers.Serializer):
    name = serializers.CharField()
    sent = serializers.IntegerField()
    won = serializers.IntegerField()
    lost = serializers.IntegerField()
    no_answer = serializers.IntegerField()
    open = serializers.IntegerField()
    price = serializers.DecimalField(14, 2, help_text="Of those won")
    cost = serializers.DecimalField(14, 2)
    hit_pct = serializers.DecimalField(5, 0, allow_null=True)
    margin_pct = serializers.DecimalField(7, 2, allow_null=True)
    gross_pct = serializers.DecimalField(7, 2, allow_null=True)


class OutcomesOut(serializers.Serializer):
    together = TallyOut()
    months = TallyOut(many=True)
    clients = TallyOut(many=True)
    sizes = TallyOut(many=True)
    why_lost = BidOut(many=True)


class BidName(RecordView):
    out = BidOut
    pagination_class = None

    @extend_schema(operation_id="rename_bid", request=NAMED.schema(partial=True), responses=BidOut)
    def patch(self, request, bid_id):
        """Its number and client, while nothing of it was sent."""
        bid = queries.bid_of(request.shop, bid_id)
        try:
            return self.edit(
                bid,
                NAMED,
                lambda form, seen: done(services.change_bid, bid, seen, form.changes),
                start={"number": bid.number, "client": bid.client},
            )
        except services.NumberTaken as error:
            raise taken("/number", error) from error


class BidTexts(RecordView):
    pagination_class = None

    def show(self, own):
        return _texts_told(self.request.shop, own)

    @extend_schema(operation_id="bid_texts", responses=BidTextsOut)
    def get(self, request):
        """What a new bid starts with: not included, assumed, payments."""
        return self.answer(_own_texts(request.shop))

    @extend_schema(operation_id="keep_bid_texts", request=TEXTS.schema(partial=True), responses=BidTextsOut)
    def patch(self, request):
        """Change the shop's lists. The next new bid starts with them."""
        texts = texts_of(request.shop)
        return self.edit(
            _own_texts(request.shop),
            TEXTS,
            lambda form, seen: services.keep_texts(request.shop, seen, form.changes),
            start={name: as_typed(texts[name]) for name in LISTS},
        )


def _own_texts(shop):
    return queries.own_texts(shop) or ShopTexts(shop=shop, version=1)


def _texts_told(shop, own):
    texts = texts_of(shop)
    return {name: as_typed(texts[name]).splitlines() for name in LISTS} | {"own": own.pk is not None}


class BidTakeoff(ApiView):
    pagination_class = None

    @extend_schema(operation_id="take_bid_takeoff", request=TAKEOFF.schema(), responses=BidRevisionOut)
    def post(self, request, bid_revision_id):
        """Stand a draft on a takeoff kept now, on one kept before, or on none; with it come the rates of its prices."""
        revision = queries.revision_of(request.shop, bid_revision_id)
        if not isinstance(request.data, dict) or "takeoff" not in request.data:
            raise Refused([{"pointer": "/takeoff", "detail": "Missing.", "code": "required"}])
        which = TAKEOFF.fill(request.data).cleaned_data["takeoff"]
        done(services.take_takeoff, revision, which, by=request.member)
        stored = queries.revision_of(request.shop, bid_revision_id)
        return self.told(stored, revision_told(stored))


class BidLinks(ApiView):
    listing = Listing(ClientLink)

    @extend_schema(operation_id="bid_links", responses=BidLinkOut(many=True))
    def get(self, request, bid_revision_id):
        """The client's links to a revision, the newest first."""
        revision = queries.revision_of(request.shop, bid_revision_id)
        return self.paged(revision.links.order_by("-pk"), BidLinkOut, request=request)

    @extend_schema(operation_id="make_bid_link", request=None, responses={201: BidLinkOut})
    def post(self, request, bid_revision_id):
        """Another link to a revision that is out; earlier ones are closed."""
        revision = queries.revision_of(request.shop, bid_revision_id)
        link = done(services.new_link, revision, by=request.member)
        return Response(BidLinkOut(link, context={"request": request}).data, status=201)


class CloseBidLinks(ApiView):
    pagination_class = None

    @extend_schema(operation_id="close_bid_links", request=None, responses=BidLinkOut(many=True))
    def post(self, request, bid_revision_id):
        """The client's links show nothing from now on."""
        revision = queries.revision_of(request.shop, bid_revision_id)
        done(services.close_links, revision)
        return Response(BidLinkOut(revision.links.order_by("-pk"), many=True, context={"request": request}).data)


class Allowances(ApiView):
    listing = Listing()

    @extend_schema(operation_id="bid_allowances", responses=AllowanceOut(many=True))
    def get(self, request, bid_revision_id):
        """What a revision allowed for, and what was chosen since."""
        revision = queries.revision_of(request.shop, bid_revision_id)
        return self.paged(list(queries.allowances_of(revision, _contents(revision))), AllowanceOut)

    @extend_schema(
        operation_id="true_up_bid", request=TRUE_UP.schema(defaults=("note",)), responses={201: AllowanceOut(many=True)}
    )
    def post(self, request, bid_revision_id):
        """What was chosen for an allowance of the accepted bid, the price of each. The latest counts."""
        revision = queries.revision_of(request.shop, bid_revision_id)
        done(services.true_up_allowance, revision, by=request.member, **TRUE_UP.fill(request.data).cleaned_data)
        settled = queries.allowances_of(revision, _contents(revision))
        return Response(AllowanceOut(settled, many=True).data, status=201)


def _contents(revision):
    try:
        return contents_of(revision)
    except (BidError, ground.CannotCount) as refused:
        raise CannotBeDone(str(refused)) from refused


class BidStanding(ApiView):
    pagination_class = None

    @extend_schema(operation_id="bid_standing", responses=BidStandingOut)
    def get(self, request, bid_revision_id):
        """What moved since it was counted, what to be careful of, what a draft still lacks."""
        revision = queries.revision_of(request.shop, bid_revision_id)
        contents = _contents(revision)
        told = {
            "expired": queries.is_expired(revision, timezone.localdate()),
            "moved": [str(one) for one in ground.moved_since(revision, contents)],
            "cautions": [str(one) for one in ground.cautions(contents)],
            "not_ready": [str(one) for one in ground.not_ready(contents)] if revision.is_draft else [],
        }
        return Response(BidStandingOut(told).data)


class CompareBids(ApiView):
    pagination_class = None
    questions = ("from", "to")

    @extend_schema(
        operation_id="compare_bids",
        responses=ComparedOut,
        parameters=[
            OpenApiParameter("from", str, description="A revision's letter; the one before the newest unless given"),
            OpenApiParameter("to", str, description="A revision's letter; the newest unless given"),
        ],
    )
    def get(self, request, bid_id):
        """Two revisions of a bid, in one sentence and line by line."""
        self.refuse_unknown_questions(request.query_params)
        bid = queries.bid_of(request.shop, bid_id)
        letters = {revision.letter: revision.pk for revision in queries.letters_of(bid)}
        known = list(letters)
        asked = {"from": known[min(1, len(known) - 1)], "to": known[0]}
        for name in asked:
            asked[name] = request.query_params.get(name, asked[name])
            if asked[name] not in letters:
                raise Refused([{"parameter": name, "detail": f"One of: {', '.join(known)}.", "code": "invalid"}])
        pair = [_contents(queries.revision_of(request.shop, letters[asked[name]])) for name in ("from", "to")]
        return Response(ComparedOut(compare(*pair)).data)


class BidOutcomes(ApiView):
    pagination_class = None

    @extend_schema(operation_id="bid_outcomes", responses=OutcomesOut)
    def get(self, request):
        """How often the shop is taken, and what it keeps: by month sent, client and size."""
        together, months, clients, sizes = queries.outcomes(request.shop)
        told = {
            "together": together, "months": months, "clients": clients[:50], "sizes": sizes,
            "why_lost": queries.why_lost(request.shop),
        }  # fmt: skip
        return Response(OutcomesOut(told).data)


class BidPaper(Document):
    renderer_classes = [Pdf]

    def printed(self, bid_revision_id, make):
        revision = queries.revision_of(self.request.shop, bid_revision_id)
        contents = _contents(revision)
        return self.answer(lambda: make(revision, contents, on=timezone.localdate()), None)


class Proposal(BidPaper):
    @described("proposal")
    def get(self, request, bid_revision_id):
        """What the client gets."""
        return self.printed(bid_revision_id, papers.proposal)


class EstimateSheet(BidPaper):
    @described("estimate_sheet")
    def get(self, request, bid_revision_id):
        """The estimator's own sheet; the client never gets it."""
        return self.printed(bid_revision_id, papers.estimate_sheet)


BID, REVISION = "bids/<int:bid_id>/", "bids/revisions/<int:bid_revision_id>/"

urlpatterns = [
    path("bids/texts/", BidTexts.as_view(), name="bid_texts"),
    path("bids/outcomes/", BidOutcomes.as_view(), name="bid_outcomes"),
    path(BID + "name/", BidName.as_view(), name="bid_name"),
    path(BID + "compare/", CompareBids.as_view(), name="compare_bids"),
    path(REVISION + "takeoff/", BidTakeoff.as_view(), name="bid_takeoff"),
    path(REVISION + "links/", BidLinks.as_view(), name="bid_links"),
    path(REVISION + "links/close/", CloseBidLinks.as_view(), name="close_bid_links"),
    path(REVISION + "allowances/", Allowances.as_view(), name="bid_allowances"),
    path(REVISION + "standing/", BidStanding.as_view(), name="bid_standing"),
    path(REVISION + "proposal/", Proposal.as_view(), name="proposal"),
    path(REVISION + "estimate/", EstimateSheet.as_view(), name="estimate_sheet"),
]
