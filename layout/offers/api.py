"""Ways out, other layouts and what is found on site, over the API: the same offers, rules and services as the pages."""


from django import forms
from django.urls import path, reverse
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.draft_api import DraftOut, draft_of, from_the_draft, told_draft
from layout.engine.lengths import LengthError
from layout.engine.room import lay_out
from layout.inputs import NotLaidOutYet, inputs_of
from layout.offer_out import OfferOut
from layout.offers import taking
from layout.offers.choices import choices_page
from layout.offers.ways import WaysPage, ways_page
from layout.offers.web import offers_of
from layout.on_site import found as on_site
from layout.on_site.web import AnswerForm, found_joist, found_thing, signed
from layout.services import NoLightType, NothingToPrint
from projects.ceilings.forms import JoistForm, ThingForm
from projects.ceilings.services import TooMany, ceiling_of
from projects.ceilings.values import entered
from projects.jobs.queries import room_of
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import Rows, wrong
from projects.platform.api.views import ApiView, Stale, etag
from projects.platform.forms import NameFormField
from projects.platform.permissions import may
from projects.platform.tenancy import StaleVersion

REFUSED = (LengthError, NotLaidOutYet, NoLightType, NothingToPrint, TooMany)


class TakeForm(forms.Form):
    key = forms.CharField(label="The offer's key", max_length=16)
    reason = NameFormField(label="Why this one", max_length=400)


class YesNoForm(AnswerForm):
    yes = forms.BooleanField(label="Yes: issue it. No: say why in the note", required=False)


TAKE = Body("TakeBody", TakeForm)
JOIST = Body("FoundJoistBody", JoistForm)
THING = Body("FoundThingBody", ThingForm)
ANSWER = Body("AnswerBody", YesNoForm)


class WaysOut(serializers.Serializer):
    clash = serializers.CharField(allow_blank=True, help_text="Why it won't fit; empty where it fits")
    compromise = serializers.CharField(allow_blank=True)
    ways = OfferOut(source="offers", many=True)
    missing = serializers.ListField(child=serializers.CharField())


class FollowsOut(serializers.Serializer):
    words = serializers.CharField()
    revision = serializers.IntegerField(source="revision.number", allow_null=True, default=None)
    asked = serializers.IntegerField(source="asked.pk", allow_null=True, default=None, help_text="What waits for a yes")


def _laid_out(room, draft):
    try:
        return lay_out(inputs_of(room, draft))
    except REFUSED as error:
        raise CannotBeDone(str(error)) from error


class WaysView(ApiView):
    @extend_schema(operation_id="ways", responses=WaysOut)
    def get(self, request, room_id):
        """Why the room's layout won't fit, and the ways out in the order a crew takes them."""
        room = room_of(request.shop, room_id)
        draft = draft_of(room)
        found = ways_page(room, draft, _laid_out(room, draft), drawn=False) or WaysPage()
        return self.told(draft, WaysOut(found).data)

    @extend_schema(operation_id="take_way", request=TAKE.schema(), responses=DraftOut)
    def post(self, request, room_id):
        """Take a way out, or another layout, into the draft. If-Match: the draft's ETag."""
        room = room_of(request.shop, room_id)
        with from_the_draft(self, room) as (draft, seen):
            said = TAKE.fill(request.data).cleaned_data
            try:
                offers = offers_of(room, draft)
            except REFUSED as error:
                raise CannotBeDone(str(error)) from error
            offer = next((one for one in offers if one.key == said["key"]), None)
            if offer is None:
                raise Refused([wrong(("key",), "That way is not there: the room changed. Read the ways again.")])
            told = {"kind": offer.kind, "words": offer.words, "cost": offer.cost, "by": request.member}
            taking.take_way(draft, seen, offer.change, reason=said["reason"], **told)
        return told_draft(self, room)


class PutWayBack(ApiView):
    @extend_schema(operation_id="put_way_back", request=None, responses=DraftOut)
    def post(self, request, room_id):
        """Put back what was there before the last way was taken. If-Match: the draft's ETag."""
        room = room_of(request.shop, room_id)
        try:
            with from_the_draft(self, room) as (_draft, seen):
                taking.put_way_back(room, seen, by=request.member)
        except taking.NothingToPutBack as refused:
            raise CannotBeDone(str(refused)) from refused
        return told_draft(self, room)


class ChoicesView(ApiView):
    listing = Listing()

    @extend_schema(operation_id="choices", responses=OfferOut(many=True))
    def get(self, request, room_id):
        """Layouts that differ in kind, each with its numbers. Take one as a way out is taken."""
        room = room_of(request.shop, room_id)
        draft = draft_of(room)
        offers = choices_page(room, draft, _laid_out(room, draft), drawn=False)
        return self.paged(list(offers), OfferOut)


def _found_shape():
    parts = {
        "joist": JOIST.schema(defaults={"datum", "first_to", "first_from"})(required=False),
        "thing": THING.schema(defaults={"datum"})(required=False),
    }
    return type("FoundBody", (serializers.Serializer,), parts)


class AskedMoveOut(serializers.Serializer):
    id = serializers.IntegerField(source="pk")
    found = serializers.CharField()
    words = serializers.CharField()
    asked_by = serializers.CharField(source="asked_by.user.name", default=None, allow_null=True)
    asked_at = serializers.DateTimeField(source="created_at")


class OnSiteOut(serializers.Serializer):
    waits = AskedMoveOut(allow_null=True, help_text="What was found and waits for a yes")


class OnSiteView(ApiView):
    pagination_class = None

    @extend_schema(operation_id="on_site", responses=OnSiteOut)
    def get(self, request, room_id):
        """What was found in the room and waits for a yes; its id is what an answer names."""
        room = room_of(request.shop, room_id)
        return Response(OnSiteOut({"waits": on_site.waiting(room)}).data)

    @extend_schema(operation_id="found_on_site", request=_found_shape(), responses={201: FollowsOut, 202: FollowsOut})
    def post(self, request, room_id):
        """The first joist as it is, or something in the way: a new revision within the limits, else a question.

        If-Match: the ceiling's ETag. 201 with a revision; 202 where it waits for a yes, or nothing clears it.
        """
        room = room_of(request.shop, room_id)
        ceiling, given = ceiling_of(room), request.data
        seen = self.seen_version(ceiling, {})
        rows = Rows(tape=room.job.tape)
        known, found = self._entry(room, entered(ceiling), given, rows, request.member)
        rows.refuse()
        try:
            follows = on_site.found_on_site(
                room, seen, signed(known, request.member, timezone.localdate()), found=found, by=request.member
            )
        except StaleVersion as stale:
            raise Stale(given, {}, etag(stale.theirs)) from stale
        except REFUSED as error:
            raise CannotBeDone(str(error)) from error
        headers = {}
        if follows.revision:
            headers["Location"] = reverse("api:revision", args=[room.pk, follows.revision.number])
        return Response(FollowsOut(follows).data, status=201 if follows.revision else 202, headers=headers)

    @staticmethod
    def _entry(room, entry, given, rows, member):
        if not isinstance(given, dict) or given.keys() not in ({"joist"}, {"thing"}):
            raise Refused([wrong((), "Send one object with either joist or thing in it.")])
        if "joist" in given:
            form = rows.form(JOIST, given["joist"], ("joist",))
            return found_joist(room, form.record, entry) if form else (entry, "")
        form = rows.form(THING, given["thing"], ("thing",), may_override=may(member, "lay out"))
        return found_thing(room, form.record, entry) if form else (entry, "")


class SiteAnswerView(ApiView):
    @extend_schema(operation_id="answer_site_move", request=ANSWER.schema(), responses=FollowsOut)
    def post(self, request, room_id):
        """Say yes to what waits, and it is issued and approved; or no, with a note."""
        room = room_of(request.shop, room_id)
        data = ANSWER.fill(request.data).cleaned_data
        if not data["yes"] and not data["note"]:
            raise Refused([wrong(("note",), "A no needs a note: say what the crew is to do instead.", "required")])
        try:
            revision = on_site.answer(room, data["move"], yes=data["yes"], note=data["note"], by=request.member)
        except (on_site.StaleMove, StaleVersion, *REFUSED) as error:
            raise CannotBeDone(str(error)) from error
        return Response(FollowsOut(on_site.Follows(data["note"], revision)).data)


ROOM = "rooms/<int:room_id>/"

urlpatterns = [
    path(ROOM + "ways/", WaysView.as_view(), name="ways"),
    path(ROOM + "ways/put-back/", PutWayBack.as_view(), name="put_way_back"),
    path(ROOM + "choices/", ChoicesView.as_view(), name="choices"),
    path(ROOM + "on-site/", OnSiteView.as_view(), name="on_site"),
    path(ROOM + "on-site/answer/", SiteAnswerView.as_view(), name="answer_site_move"),
]
